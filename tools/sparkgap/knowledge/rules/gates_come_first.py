"""A gate that a step needs is listed by the procedure and placed before the first step that needs it."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..acts import Act, Placement, Procedure
from ..model import Knowledge
from ..needs import needed_gates


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes gate-missing and gate-late."""
    for procedure in knowledge.procedures.values():
        yield from _procedure(procedure, knowledge)


def _procedure(procedure: Procedure, knowledge: Knowledge) -> Iterator[Problem]:
    passed: set[str] = set()
    told: set[str] = set()
    for placement in procedure.placements:
        if placement.kind == "gate":
            passed.add(placement.target)
            continue
        act = _act(placement, procedure, knowledge)
        for gate in needed_gates(act, knowledge) if act else ():
            if gate in passed or gate in told or gate not in knowledge.gates:
                continue
            told.add(gate)
            yield _problem(gate, placement, procedure)


def _act(placement: Placement, procedure: Procedure, knowledge: Knowledge) -> Act | None:
    if placement.kind == "check":
        return procedure.checks.get(placement.target) or knowledge.checks.get(placement.target)
    if placement.kind == "remedy":
        return procedure.remedies.get(placement.target) or knowledge.remedies.get(placement.target)
    return None


def _problem(gate: str, placement: Placement, procedure: Procedure) -> Problem:
    step = f"{placement.kind} {placement.target}"
    if gate not in procedure.safety_gates:
        return Problem.at(placement.place, "gate-missing",
                          f"the {step} needs the gate {gate}, which the procedure does not list",
                          f"add {gate} to safety_gates and place ```{{gate}} {gate} before this step")
    return Problem.at(placement.place, "gate-late", f"the gate {gate} comes after the {step}, which needs it",
                      "move the gate before this step")
