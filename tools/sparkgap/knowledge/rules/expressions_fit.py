"""Every expression parses, and its dimension is that of what it stands for: calculators' outputs, judges' limits."""

from __future__ import annotations

from collections.abc import Iterator

from ...formulas import FormulaError
from ...kinds import dimension_of, words
from ...problems import Problem
from ..acts import Check
from ..judges import compile_judge, judge_dimension_fits
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code expression."""
    constants, tables = knowledge.constants, knowledge.tables
    said = {(p.path, p.line, p.column) for p in knowledge.problems if p.code == "quantity-invalid"}
    for calculator in knowledge.calculators.values():
        if not (set(calculator.constants) <= set(constants) and set(calculator.tables) <= set(tables)):
            continue  # said by references_known
        for path, error in knowledge.programs[calculator.id].problems:
            where, place = ".".join(map(str, path)), calculator.at(*path)
            if (place.path, place.line, place.column) not in said:
                yield Problem.at(place, "expression", f"{where}: {_said(error)}", error.fix)
    for one in knowledge.checks.values():
        if one.judge:
            yield from _judge(one, knowledge)


def _said(error: FormulaError) -> str:
    return f"{error.message} (character {error.column})" if error.column else error.message


def _judge(one: Check, knowledge: Knowledge) -> Iterator[Problem]:
    tolerances = knowledge.procedures[one.procedure].tolerances
    if not one.measure or not {*one.measure, one.limit} <= set(tolerances):
        return  # said by references_known or answers_fit_limits
    if knowledge.dropped & {"kb/constants.yaml", "kb/plate.yaml"}:
        return  # the names that it uses may stand there
    try:
        expression = compile_judge(knowledge, one)
    except FormulaError as error:
        yield Problem.at(one.at("judge"), "expression", f"judge of {one.id}: {_said(error)}", error.fix)
        return
    if not judge_dimension_fits(knowledge, one, expression):
        wanted = tolerances[one.limit].quantity
        yield Problem.at(one.at("judge"), "expression",
                         f"the judge of {one.id} gives {words(expression.dimension)}, its limit {one.limit} is "
                         f"{words(dimension_of(wanted))}", "make both the same quantity")
