"""Every number has a source: here each tolerance with a limit; the schemas ask for all others."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code source-missing."""
    for procedure in knowledge.procedures.values():
        for tolerance in procedure.tolerances.values():
            if tolerance.judged and not tolerance.source:
                yield Problem.at(tolerance.place, "source-missing", f"the tolerance {tolerance.id} has no source",
                                 "add source: with an id of kb/sources.yaml, such as common-practice or memory")
