"""How well the guide's predictions held: closed jobs replayed, and the probability of what was true.

A prediction is taken when the first repair began, before anybody knew whether it would help. Later ones would be
taken only where the first repair had failed, and so favour what was predicted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ..diagnosis.belief import belief
from ..diagnosis.specialise import NORMAL, OTHER, specialise
from ..knowledge import Knowledge
from .learn_cases import Case
from .learn_weights import (
    SHARES,
    Counts,
    Key,
    Prior,
    Shown,
    Units,
    cause_of,
    learned_shares,
    weights_now,
    written_weights,
)
from .replay import replay

EDGES = (0.0, 0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0)
LEVEL = 0.95  # probability of the range in which a bin's count lies when the predictions are right
_LEAST = 1e-12  # of what was held to be impossible; its logarithm is finite


@dataclass(frozen=True)
class Prediction:
    """What one job was predicted to be: by the guide with the judged weights, by these alone, and by the guide with
    learned weights that did not count this job. So no prediction rests on the job that it is held against."""

    truth: str
    guide: Mapping[str, float]
    prior: Mapping[str, float]
    learned: Mapping[str, float]


@dataclass(frozen=True)
class Score:
    """Means over jobs: the logarithm of the probability of what was true, and the Brier score."""

    log: float
    brier: float


@dataclass(frozen=True)
class Bin:
    """Predictions from ``low`` to ``high``: how many, their mean, how many came true, and the range in which that
    number lies in 95 of 100 such sets when the predictions are right."""

    low: float
    high: float
    count: int
    mean: float
    true: int
    expected: tuple[int, int]


def predictions(knowledge: Knowledge, prior: Prior, units: Units, cases: Iterable[Case]) -> list[Prediction]:
    """The predictions of one symptom's jobs, in order."""
    cases = list(cases)
    counts, known = units.count(cases), {}
    judged = reweighed(knowledge, prior, prior.weights)
    found = []
    for case in cases:
        key = (units.cause(case), units.shown(case))
        if key not in known:
            known[key] = reweighed(knowledge, prior, _learned_without(prior, counts, key))
        evidence = evidence_before_repair(knowledge, case)
        now, new = (specialise(model, case.plate) for model in (judged, known[key]))
        found.append(Prediction(case.truth, belief(now, evidence), now["prior"], belief(new, evidence)))
    return found


def evidence_before_repair(knowledge: Knowledge, case: Case) -> dict[str, Any]:
    """The evidence of a job's log up to the first repair that was carried out, helpful or not."""
    log = case.job["log"]
    end = next((n for n, entry in enumerate(log) if entry["kind"] in ("done", "failed")), len(log))
    return replay(knowledge, {**case.job, "log": log[:end]}).evidence


def _learned_without(prior: Prior, counts: Counts, key: tuple[Key, Shown]) -> dict[Key, float]:
    return written_weights(prior, learned_shares(prior, counts.without(*key)))


def reweighed(knowledge: Knowledge, prior: Prior, weights: Mapping[Key, float]) -> dict[str, Any]:
    """The compiled symptom with other weights."""
    now = weights_now(knowledge, prior.symptom)
    faults = []
    for fault in prior.model["faults"]:
        key = cause_of(fault)
        faults.append({**fault, "weight": fault["weight"] * weights[key] / now[key]})
    shares = {name: weights[key] for name, key in zip((NORMAL, OTHER), SHARES, strict=True)}
    return {**prior.model, "weights": shares, "faults": faults}


def score(truths: Iterable[tuple[str, Mapping[str, float]]]) -> Score:
    """The scores of pairs of what was true and what was predicted; at least one."""
    logs, briers = [], []
    for truth, shares in truths:
        logs.append(math.log(max(shares[truth], _LEAST)))
        briers.append(math.fsum((share - (name == truth)) ** 2 for name, share in shares.items()))
    return Score(math.fsum(logs) / len(logs), math.fsum(briers) / len(briers))


def gain(pairs: Iterable[tuple[float, float]]) -> tuple[float, float | None]:
    """By how much the logarithm of the second of each pair is greater, in the mean, and the error of that mean."""
    steps = [math.log(max(after, _LEAST)) - math.log(max(before, _LEAST)) for before, after in pairs]
    mean = math.fsum(steps) / len(steps)
    if len(steps) < 2:
        return mean, None
    return mean, math.sqrt(math.fsum((step - mean) ** 2 for step in steps) / (len(steps) - 1) / len(steps))


def calibration(predicted: Iterable[Prediction]) -> list[Bin]:
    """The guide's predictions of every cause of every job, by their size, and how many came true."""
    predicted = list(predicted)
    bins = []
    for low, high in zip(EDGES, EDGES[1:], strict=False):
        count, chances, true = 0, [], 0
        for one in predicted:
            inside = [name for name, share in one.guide.items()
                      if low <= share < high or share == high == 1.0]
            count += len(inside)
            true += one.truth in inside
            chances.append(min(1.0, math.fsum(one.guide[name] for name in inside)))
        if count:
            bins.append(Bin(low, high, count, math.fsum(chances) / count, true, range_of_sum(chances, LEVEL)))
    return bins


def range_of_sum(chances: Iterable[float], level: float) -> tuple[int, int]:
    """The least and greatest number of events with these chances that are not in the outer tails.

    At most one of a job's causes is true, so that each job is one event, and the number of events has the
    Poisson-binomial distribution, summed here exactly.
    """
    ways = [1.0]
    for chance in chances:
        if chance > 0.0:
            ways = [there * (1.0 - chance) + fewer * chance
                    for there, fewer in zip([*ways, 0.0], [0.0, *ways], strict=True)]
    tail = (1.0 - level) / 2.0
    return _quantile(ways, tail), _quantile(ways, 1.0 - tail)


def _quantile(ways: list[float], p: float) -> int:
    total = 0.0
    for number, way in enumerate(ways):
        total += way
        if total >= p:
            return number
    return len(ways) - 1
