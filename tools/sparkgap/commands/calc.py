"""sparkgap calc: a calculator, with units."""

from __future__ import annotations

import argparse
from typing import Any

from ..formulas import FormulaError
from ..formulas.calculator import checked, compile_calculator, inputs_from_plate
from ..knowledge import Knowledge
from ..knowledge.calculations import Calculator
from ..quantities import QuantityError, both, parse_quantity
from .common import Refused, known, print_json, sound_knowledge


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("calculator", metavar="ID", help="a calculator's id")
    parser.add_argument("inputs", nargs="*", metavar="NAME=VALUE", help="inputs with units, such as volume='12 gal'")
    parser.add_argument("--unit", metavar="ID", help="a shipped unit, for the inputs that its data plate answers")
    parser.add_argument("--json", action="store_true", help="the result in SI, as schema/calc.schema.json describes it")


def run(options: argparse.Namespace) -> int:
    """Print inputs as used and results."""
    knowledge = sound_knowledge(options.root)
    calculator = known("calculator", options.calculator, knowledge.calculators)
    given = {**_plate(knowledge, calculator, options.unit), **_inputs(calculator, options.inputs)}
    program = compile_calculator(calculator, knowledge.constants, knowledge.tables)
    try:
        used = {name: checked(name, one, program.bounds[name], given.get(name))
                for name, one in calculator.inputs.items()}
        outputs = program.run(given)
    except FormulaError as error:
        raise Refused(error.message, *([error.fix] if error.fix else [])) from None
    if options.json:
        print_json({"calculator": calculator.id, "inputs": used, "outputs": outputs})
        return 0
    print(calculator.title)
    for name, one in calculator.inputs.items():
        print(f"  with {one.title.lower()}: {both(used[name], one.quantity, unit=one.unit or None)}")
    for name, output in calculator.outputs.items():
        shown = both(outputs[name], output.quantity, unit=output.unit or None, digits=output.digits)
        print(f"  {output.title}: {shown}")
    return 0


def _plate(knowledge: Knowledge, calculator: Calculator, unit: str | None) -> dict[str, Any]:
    if unit is None:
        return {}
    return inputs_from_plate(calculator, known("unit", unit, knowledge.units).plate)


def _inputs(calculator: Calculator, texts: list[str]) -> dict[str, Any]:
    given, problems = {}, []
    for text in texts:
        name, equals, value = text.partition("=")
        declared = calculator.inputs.get(name)
        if not equals or declared is None:
            names = ", ".join(f"{key}=…" for key in calculator.inputs)
            problems.append(f"{text!r} is no input of {calculator.id}: write {names}")
            continue
        try:
            given[name] = parse_quantity(value, declared.quantity).value_si
        except QuantityError as error:
            problems.append(f"{name}: {error}: {error.fix}")
    if problems:
        raise Refused(*problems)
    return given
