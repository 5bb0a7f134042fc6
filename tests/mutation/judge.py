"""What a change of a number does to the knowledge that is read: a new problem, or nothing at all."""

from __future__ import annotations

from pathlib import Path

from sparkgap.formulas import FormulaError
from sparkgap.formulas.calculator import compile_calculator
from sparkgap.knowledge import Knowledge
from sparkgap.quantities import QuantityError, parse_quantity

from .numbers import Number


def new_problem(before: Knowledge, after: Knowledge) -> str:
    """The first problem that was not there before, as "code message"; empty if there is none.

    A changed number stays on its line, so that the problems of before read the same.
    """
    known = set(before.problems)
    return next((f"{one.code} {one.message}" for one in after.problems if one not in known), "")


def has_no_effect(before: Knowledge, after: Knowledge, number: Number) -> bool:
    """Whether the number is given to a worked example of which no stated result depends on it.

    Such an input fills the form and says nothing, so that there is nothing to notice.
    """
    if number.kind != "example" or number.at[2] != "given":
        return False
    try:
        return _results(before, number) == _results(after, number)
    except (KeyError, FormulaError, QuantityError):
        return False


def _results(knowledge: Knowledge, number: Number) -> dict[str, float]:
    calculator = knowledge.calculators[Path(number.path).stem]
    example = calculator.examples[number.at[1]]
    given = {name: parse_quantity(text, calculator.inputs[name].quantity).value_si
             for name, text in example.given.items()}
    got = compile_calculator(calculator, knowledge.constants, knowledge.tables).run(given)
    return {name: got[name] for name in example.gives}
