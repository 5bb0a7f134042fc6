"""Every worked example of a calculator gives the results that it states."""

from __future__ import annotations

from collections.abc import Iterator

from ...formulas import FormulaError
from ...problems import Problem
from ...quantities import QuantityError, format_quantity, parse_quantity
from ..calculations import Calculator, Example
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code example-fails. What other rules say of a calculator is not said again."""
    for calculator in knowledge.calculators.values():
        program = knowledge.programs[calculator.id]
        for index, example in enumerate(calculator.examples) if not program.problems else ():
            yield from _example(calculator, program, index, example)


def _example(calculator: Calculator, program, index: int, example: Example) -> Iterator[Problem]:
    try:
        given = {name: parse_quantity(text, calculator.inputs[name].quantity).value_si
                 for name, text in example.given.items()}
        wanted = {name: parse_quantity(text, calculator.outputs[name].quantity).value_si
                  for name, text in example.gives.items()}
    except (KeyError, QuantityError):
        return  # said while reading
    try:
        got = program.run(given)
    except FormulaError as error:
        place = calculator.at("examples", index)
        yield Problem.at(place, "example-fails", f"{example.title}: {error.message}", error.fix)
        return
    for name, value in wanted.items():
        if abs(got[name] - value) > example.within * abs(value):
            output = calculator.outputs[name]
            shown = format_quantity(got[name], output.quantity, digits=6, unit=output.unit or None)
            yield Problem.at(calculator.at("examples", index, "gives", name), "example-fails",
                             f"{example.title}: {name} comes out as {shown}, not {example.gives[name]}",
                             "mend the expression, the constants or the example")
