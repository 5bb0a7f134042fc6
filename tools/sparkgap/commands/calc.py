"""sparkgap calc: a calculator, with units."""

from __future__ import annotations

import argparse
from typing import Any

from ..formulas import FormulaError
from ..formulas.calculator import compile_calculator, inputs_from_plate
from ..knowledge import Knowledge
from ..knowledge.calculations import Calculator
from ..quantities import QuantityError, both, parse_quantity
from .common import Refused, print_json, sound_knowledge


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("calculator", metavar="ID", help="a calculator's id")
    parser.add_argument("inputs", nargs="*", metavar="NAME=VALUE", help="inputs with units, such as volume='12 gal'")
    parser.add_argument("--unit", metavar="ID", help="a shipped unit, for the inputs that its data plate answers")
    parser.add_argument("--json", action="store_true", help="results in SI as JSON")


def run(options: argparse.Namespace) -> int:
    """Print inputs as used and results."""
    knowledge = sound_knowledge(options.root)
    calculator = knowledge.calculators.get(options.calculator)
    if calculator is None:
        raise Refused(f"there is no calculator {options.calculator!r}", f"one of {', '.join(sorted(knowledge.calculators))}")
    given = {**_plate(knowledge, calculator, options.unit), **_inputs(calculator, options.inputs)}
    program = compile_calculator(calculator, knowledge.constants, knowledge.tables)
    try:
        outputs = program.run(given)
    except FormulaError as error:
        raise Refused(error.message, *([error.fix] if error.fix else [])) from None
    if options.json:
        print_json({"calculator": calculator.id, "inputs": given, "outputs": outputs})
        return 0
    print(calculator.title)
    for name, output in calculator.outputs.items():
        shown = both(outputs[name], output.quantity, unit=output.unit or None, digits=output.digits)
        print(f"  {output.title}: {shown}")
    return 0


def _plate(knowledge: Knowledge, calculator: Calculator, unit: str | None) -> dict[str, Any]:
    if unit is None:
        return {}
    if unit not in knowledge.units:
        raise Refused(f"there is no unit {unit!r}", f"one of {', '.join(sorted(knowledge.units))}")
    return inputs_from_plate(calculator, knowledge.units[unit].plate)


def _inputs(calculator: Calculator, texts: list[str]) -> dict[str, Any]:
    given, problems = {}, []
    for text in texts:
        name, equals, value = text.partition("=")
        known = calculator.inputs.get(name)
        if not equals or known is None:
            names = ", ".join(f"{key}=…" for key in calculator.inputs)
            problems.append(f"{text!r} is no input of {calculator.id}: write {names}")
            continue
        try:
            given[name] = parse_quantity(value, known.quantity).value_si
        except QuantityError as error:
            problems.append(f"{name}: {error}: {error.fix}")
    if problems:
        raise Refused(*problems)
    return given
