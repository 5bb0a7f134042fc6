"""A measured check has the answers that its limits allow: below with a low limit, above with a high one, within."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..acts import Check, Procedure
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code answer-unknown."""
    for procedure in knowledge.procedures.values():
        for one in procedure.checks.values():
            if one.measure and bool(one.judge) != bool(one.limit):
                yield Problem.at(one.at("judge" if one.judge else "limit"), "answer-unknown",
                                 f"{one.id} has {'a judge and no limit' if one.judge else 'a limit and no judge'}",
                                 "a judge is held to a limit: write both, or neither for a single reading")
            elif one.measure:
                yield from _measured(one, procedure)
            elif one.judge or one.limit:
                yield Problem.at(one.place, "answer-unknown", f"{one.id} judges but measures nothing",
                                 "name the readings under measure:")


def _measured(one: Check, procedure: Procedure) -> Iterator[Problem]:
    limit = one.limit if one.judge else one.measure[0]
    if not one.judge and len(one.measure) > 1:
        yield Problem.at(one.at("measure"), "answer-unknown", f"{one.id} measures several and judges nothing",
                         "add judge: with an expression and limit: with a tolerance")
        return
    tolerance = procedure.tolerances.get(limit)
    if tolerance is None:
        return
    if not tolerance.judged:
        yield Problem.at(one.at("measure"), "answer-unknown", f"the tolerance {limit} has no limit to judge by",
                         "give it low: or high:")
        return
    wanted = {"within"}
    wanted |= {"below"} if any(band.low for band in tolerance.bands) else set()
    wanted |= {"above"} if any(band.high for band in tolerance.bands) else set()
    if set(one.answers) != wanted:
        yield Problem.at(one.at("answers"), "answer-unknown",
                         f"{one.id} has the answers {', '.join(sorted(one.answers))}; its limits allow "
                         f"{', '.join(sorted(wanted))}", "name just these")
