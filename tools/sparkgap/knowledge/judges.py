"""The expressions of checks that judge several readings together: a drop under load, a rise against a need."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from ..dimensions import TEXT
from ..formulas import Expression, compile_expression
from ..formulas.nodes import Name, Node
from ..kinds import dimension_of
from .acts import Check
from .model import Knowledge


def variable(tolerance: str) -> str:
    """The name of a reading in an expression: the tolerance's id with underscores."""
    return tolerance.replace("-", "_")


def compile_judge(knowledge: Knowledge, check: Check) -> Expression:
    """The judge of a check over its readings, the data plate and the constants. Raises FormulaError."""
    tolerances = knowledge.procedures[check.procedure].tolerances
    names: dict[str, Any] = {
        name: one.amount.quantity for name, one in knowledge.constants.items() if one.amount}
    names |= {name: one.quantity if one.kind == "quantity" else TEXT for name, one in knowledge.plate.items()}
    names |= {variable(name): tolerances[name].quantity for name in check.measure}
    return compile_expression(check.judge, names, knowledge.table_data)


def judge_uses(knowledge: Knowledge, check: Check) -> dict[str, Any]:
    """The data-plate values and the constants (name -> SI) that a judge reads."""
    expression = compile_judge(knowledge, check)
    own = {variable(name) for name in check.measure}
    used = sorted(set(_names(expression.root)) - own)
    return {"plate": [name for name in used if name in knowledge.plate],
            "constants": {name: knowledge.constants[name].amount.si for name in used if name not in knowledge.plate}}


def judge_function(
    knowledge: Knowledge, check: Check, plate: Mapping[str, Any]
) -> Callable[[dict[str, float]], float] | list[str]:
    """The judge as a function of readings by tolerance id, in SI; or the plate values that it lacks."""
    uses = judge_uses(knowledge, check)
    missing = [name for name in uses["plate"] if plate.get(name) is None]
    if missing:
        return missing
    expression = compile_judge(knowledge, check)
    given = {**uses["constants"], **{name: plate[name] for name in uses["plate"]}}
    return lambda readings: expression.evaluate({**given, **{variable(name): x for name, x in readings.items()}})


def judge_javascript(knowledge: Knowledge, check: Check) -> str:
    """The judge as a JavaScript expression over ``v`` (readings, plate and constants by name, SI) and ``F``."""
    return compile_judge(knowledge, check).javascript()


def judge_dimension_fits(knowledge: Knowledge, check: Check, expression: Expression) -> bool:
    """Whether the judge yields what its limit is stated in."""
    limit = knowledge.procedures[check.procedure].tolerances[check.limit]
    return expression.dimension.fits(dimension_of(limit.quantity))


def _names(node: Node) -> Iterator[str]:
    if isinstance(node, Name):
        yield node.id
    for field in dataclasses.fields(node):
        part = getattr(node, field.name)
        for one in part if isinstance(part, tuple | list) else [part]:
            if isinstance(one, Node):
                yield from _names(one)
