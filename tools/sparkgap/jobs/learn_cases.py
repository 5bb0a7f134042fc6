"""Which closed jobs tell what was wrong, and why the others do not.

A job counts when it is closed and it is known what was wrong: repaired, with a remedy whose proof passed; nothing
wrong; or something that no list names. What somebody was told never decides: a repair counts by its proof, the other
two only when at least one check of the log was seen.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ..diagnosis.compile import compile_symptom
from ..diagnosis.specialise import NORMAL, OTHER, specialise
from ..knowledge import Knowledge
from ..knowledge.conditions import holds
from .file import Job
from .replay import Replay, replay

DEMO = "demo"


@dataclass(frozen=True)
class Case:
    """A job that counts: ``truth`` is a fault of the symptom's list, ``normal`` or ``other``; ``day`` when it was
    closed."""

    id: str
    symptom: str
    truth: str
    day: str
    plate: Mapping[str, Any]
    job: Job


@dataclass(frozen=True)
class LeftOut:
    """A job that does not count, with the file that it came from."""

    file: str
    id: str
    why: str


@dataclass
class Sorted:
    """What a heap of jobs tells; each list in order of id, whatever the order of the files."""

    cases: list[Case]
    left_out: list[LeftOut]
    again: list[LeftOut]


class _Out(Exception):
    """The job does not count; the message says why."""


def sort_jobs(knowledge: Knowledge, jobs: Iterable[tuple[str, Job]], demo: bool = False) -> Sorted:
    """The jobs that count, those that do not, and the files that repeat a job.

    ``jobs`` are pairs of file name and job. Invented jobs count with ``demo``, and then no others.
    """
    found = Sorted([], [], [])
    models: dict[str, dict[str, Any]] = {}
    for name, job in _once(jobs, found):
        try:
            found.cases.append(_case(knowledge, models, job, demo))
        except _Out as out:
            found.left_out.append(LeftOut(name, job["id"], str(out)))
    found.left_out.sort(key=lambda one: (one.id, one.file))
    found.again.sort(key=lambda one: (one.id, one.file))
    return found


def is_demo(job: Job) -> bool:
    """Whether a job is marked as invented, by its id or by who did it."""
    return job["id"].startswith(DEMO + "-") or job.get("technician", "").strip().casefold() == DEMO


def _once(jobs: Iterable[tuple[str, Job]], found: Sorted) -> list[tuple[str, Job]]:
    """One job for each id: the one that was changed last. Two of the same moment that differ are both left out."""
    by_id: dict[str, list[tuple[tuple[str, float], str, str, Job]]] = {}
    for name, job in jobs:
        text = json.dumps(job, sort_keys=True)
        by_id.setdefault(job["id"], []).append((_moment(job["changed"]), text, name, job))
    kept = []
    for _, same in sorted(by_id.items()):
        same.sort(key=lambda one: (one[0], one[1], one[2]))
        moment, text, name, job = same[-1]
        rivals = [one for one in same if one[0] == moment]
        if any(one[1] != text for one in rivals):
            found.left_out += [LeftOut(one[2], job["id"], "another file has the same job, changed at the same moment, "
                                       "with other contents: delete the wrong one") for one in rivals]
            same = [one for one in same if one[0] != moment]
        else:
            kept.append((name, job))
            same = same[:-1]
        found.again += [LeftOut(one[2], job["id"], "the same job stands in another file" if one[1] == text else
                                "an older state of a job that another file has") for one in same]
    return kept


def _moment(time: str) -> tuple[str, float]:
    """A moment that can be compared, with its fraction of a second."""
    return time[:19], float("0" + time[19:-1])


def _case(knowledge: Knowledge, models: dict[str, dict[str, Any]], job: Job, demo: bool) -> Case:
    if is_demo(job) != demo:
        raise _Out("no invented job, and only those are counted now" if demo else
                   "an invented job (technician or id says demo); --demo counts such jobs, and no others")
    if job.get("outcome") is None:
        raise _Out("still open")
    if job["closed"] is None:
        raise _Out("it has an outcome, but is not closed")
    symptom = job["symptom"]
    if symptom not in knowledge.symptoms:
        raise _Out("no symptom was chosen" if symptom is None
                   else f"this knowledge does not have the symptom {symptom!r}")
    told = replay(knowledge, job)
    if holds(knowledge.symptoms[symptom].applies_to, told.plate) is False:
        raise _Out(f"{symptom} does not happen on a unit with this data plate")
    if symptom not in models:
        models[symptom] = compile_symptom(knowledge, symptom)
    listed = {fault["id"] for fault in models[symptom]["faults"]}
    truth = _truth(knowledge, job, told, listed)
    if truth not in specialise(models[symptom], told.plate)["hypotheses"]:
        raise _Out(f"the fault {truth} does not occur on a unit with this data plate")
    return Case(job["id"], symptom, truth, job["closed"][:10], told.plate, job)


def _truth(knowledge: Knowledge, job: Job, told: Replay, listed: set[str]) -> str:
    """The hypothesis that a closed job has shown to be true. Raises _Out."""
    end, fault = job["outcome"]["end"], job["outcome"]["fault"]
    if end in ("left-off", "referred"):
        raise _Out("left shut off" if end == "left-off" else "handed to somebody else")
    if fault is not None and fault not in knowledge.faults:
        raise _Out(f"this knowledge does not have the fault {fault!r}")
    proved = sorted(gid for gid, entry in told.entries.items()
                    if entry["kind"] == "done" and gid in knowledge.remedies)
    if end == "repaired" and fault is not None:
        if not any(fault in knowledge.remedies[gid].ends for gid in proved):
            raise _Out(f"no remedy that ends {fault} was carried out and proved in its log")
        return fault if fault in listed else OTHER
    if fault is not None:
        raise _Out(f"nothing was wrong, and yet the fault {fault} is named")
    if proved:
        raise _Out(f"{proved[0]} was carried out and proved, and yet no fault is named")
    if not any(entry["kind"] == "answer" and not entry.get("hearsay") for entry in told.entries.values()):
        raise _Out("no check was seen, what was told does not decide")
    return NORMAL if end == "normal" else OTHER
