"""What closed jobs teach: fault weights with their intervals, and how well the guide's predictions held."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ..knowledge import Knowledge
from .file import Job
from .learn_cases import Case, LeftOut, Sorted, sort_jobs
from .learn_edit import Learned
from .learn_score import Bin, Prediction, Score, calibration, gain, predictions, score
from .learn_weights import LEVEL, Row, Units, prior_of, rows


@dataclass(frozen=True)
class Lesson:
    """``files`` were read; of their jobs ``sorted`` says which count; ``learned`` has every symptom with such jobs."""

    files: int
    sorted: Sorted
    learned: list[Learned]
    predicted: list[Prediction]
    prior_jobs: float


def learn(knowledge: Knowledge, jobs: Iterable[tuple[str, Job]], demo: bool = False) -> Lesson:
    """Learn from jobs, each with the name of its file; ``demo`` counts invented jobs, and no others."""
    jobs = list(jobs)
    found = sort_jobs(knowledge, jobs, demo)
    learned: list[Learned] = []
    predicted: list[Prediction] = []
    for symptom in sorted({case.symptom for case in found.cases}):
        cases: list[Case] = [case for case in found.cases if case.symptom == symptom]
        prior = prior_of(knowledge, symptom)
        units = Units(knowledge, prior)
        learned.append(Learned(prior, cases, rows(knowledge, prior, units.count(cases))))
        predicted += predictions(knowledge, prior, units, cases)
    return Lesson(len(jobs), found, learned, predicted, knowledge.constants["learn_prior_jobs"].amount.si)


def scores(predicted: list[Prediction]) -> dict[str, Score]:
    """The scores of the guide, of the weights alone, and of the guide with learned weights; at least one prediction."""
    return {name: score((one.truth, getattr(one, name)) for one in predicted)
            for name in ("guide", "prior", "learned")}


def gains(predicted: list[Prediction]) -> dict[str, tuple[float, float | None]]:
    """What the findings gained over the weights alone, and learned weights over the judged ones."""
    return {"guide": gain((one.prior[one.truth], one.guide[one.truth]) for one in predicted),
            "learned": gain((one.guide[one.truth], one.learned[one.truth]) for one in predicted)}


def as_json(lesson: Lesson) -> dict[str, Any]:
    """The lesson as schema/learn.schema.json describes it, without the change."""
    return {
        "jobs": {"files": lesson.files, "counted": len(lesson.sorted.cases),
                 "left_out": _listed(lesson.sorted.left_out), "again": _listed(lesson.sorted.again)},
        "prior_jobs": lesson.prior_jobs, "level": LEVEL,
        "symptoms": [_symptom(one) for one in lesson.learned],
        "predictions": _predictions(lesson.predicted) if lesson.predicted else None,
    }


def _listed(left_out: list[LeftOut]) -> list[dict[str, str]]:
    return [{"file": one.file, "id": one.id, "why": one.why} for one in left_out]


def _symptom(one: Learned) -> dict[str, Any]:
    first, last = one.days
    return {"symptom": one.prior.symptom, "title": one.prior.model["title"], "jobs": len(one.cases),
            "first": first, "last": last, "causes": [_row(row) for row in one.rows]}


def _row(row: Row) -> dict[str, Any]:
    kind, name = row.key
    ends = ("share", "low", "high")
    return {"kind": {"share": "hypothesis", "fault": "fault", "also": "symptom"}[kind], "id": name,
            "jobs": row.jobs, "before": dict(zip(ends, row.before, strict=True)),
            "after": dict(zip(ends, row.after, strict=True)), "weight": row.weight, "learned": row.learned}


def _predictions(predicted: list[Prediction]) -> dict[str, Any]:
    found = {name: {"log": one.log, "brier": one.brier} for name, one in scores(predicted).items()}
    return {"jobs": len(predicted), **found,
            "gains": {name: {"log": mean, "error": error} for name, (mean, error) in gains(predicted).items()},
            "calibration": [_bin(one) for one in calibration(predicted)]}


def _bin(one: Bin) -> dict[str, Any]:
    return {"low": one.low, "high": one.high, "predictions": one.count, "mean": one.mean, "true": one.true,
            "expected_low": one.expected[0], "expected_high": one.expected[1]}
