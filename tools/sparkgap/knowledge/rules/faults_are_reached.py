"""Every fault of a symptom is named by one of the symptom's checks, and every fault belongs to a symptom."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge
from ..needs import symptom_checks


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes symptom-unreachable and unused."""
    if knowledge.dropped:
        return  # what is missing may stand in a file that could not be read
    used = set()
    for symptom in knowledge.symptoms.values():
        used |= set(symptom.faults)
        answers = [answer for one in symptom_checks(knowledge, symptom.id) for answer in one.answers.values()]
        named = {fault for answer in answers for fault in answer.likelihood}
        for fault in symptom.faults:
            if fault in knowledge.faults and fault not in named:
                yield Problem.at(symptom.at("faults", fault), "symptom-unreachable",
                                 f"no check of this symptom tells the fault {fault} from others",
                                 "name it in an answer of a check whose procedure lists this symptom")
    for fault in knowledge.faults.values():
        if fault.id not in used:
            yield Problem.at(fault.place, "unused", f"no symptom has the fault {fault.id}",
                             "name it under faults: of a symptom, or take it out")
