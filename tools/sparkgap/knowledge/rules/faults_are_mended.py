"""Every fault has a remedy that ends it, and every remedy names the check that proves it."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes fault-unremedied and proof-missing."""
    ended = {fault for remedy in knowledge.remedies.values() for fault in remedy.ends}
    for fault in knowledge.faults.values():
        if fault.id not in ended and not knowledge.dropped:
            yield Problem.at(fault.place, "fault-unremedied", f"no remedy ends the fault {fault.id}",
                             "name it under ends: of a remedy")
    for remedy in knowledge.remedies.values():
        if not remedy.proof:
            yield Problem.at(remedy.place, "proof-missing", f"the remedy {remedy.id} has no proof",
                             "name the check that shows the unit works, under proof:")
