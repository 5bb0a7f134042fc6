"""Every fault of a symptom is named by at least one check, and every fault belongs to a symptom."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes symptom-unreachable and unused."""
    if knowledge.dropped:
        return  # what is missing may stand in a file that could not be read
    answers = [answer for one in knowledge.checks.values() for answer in one.answers.values()]
    named = {fault for answer in answers for fault in answer.likelihood}
    used = {fault for symptom in knowledge.symptoms.values() for fault in symptom.faults}
    for fault in knowledge.faults.values():
        if fault.id not in used:
            yield Problem.at(fault.place, "unused", f"no symptom has the fault {fault.id}",
                             "name it under faults: of a symptom, or take it out")
        elif fault.id not in named:
            yield Problem.at(fault.place, "symptom-unreachable", f"no check tells the fault {fault.id} from others",
                             "give it a likelihood in a check's answer")
