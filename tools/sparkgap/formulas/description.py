"""What the browser must know of a calculator besides its formulas."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sparkgap.kinds import QUANTITIES
from sparkgap.quantities import parse_quantity

if TYPE_CHECKING:
    from .calculator import Program


def amount_of(constant: Any) -> Any:
    """The object that holds value_si and quantity of a constant."""
    return constant if hasattr(constant, "value_si") else constant.amount


def expects(given: Any) -> str:
    """What may be entered, as the calculator writes it: "2 gal to 20 gal"."""
    low, high = (text and parse_quantity(text, given.quantity).typed() for text in (given.low, given.high))
    if low and high:
        return f"{low} to {high}"
    if low or high:
        return f"{low} or more" if low else f"{high} or less"
    return f"a {QUANTITIES[given.quantity].title}"


def describe(program: Program) -> dict:
    """The description that stands before the formulas: all values in SI, None where nothing is said."""
    calculator = program.calculator
    return {
        "id": calculator.id,
        "title": calculator.title,
        "summary": getattr(calculator, "summary", ""),
        "inputs": [_input(program, name, given) for name, given in calculator.inputs.items()],
        "constants": [_constant(id, program.constants[id]) for id in calculator.constants],
        "tables": {id: table.as_json() for id, table in program.tables.items()},
        "steps": [{"name": name, "title": step.title or ""} for name, step in calculator.steps.items()],
        "outputs": [_output(name, output) for name, output in calculator.outputs.items()],
    }


def _input(program: Program, name: str, given: Any) -> dict:
    bounds = program.bounds[name]
    return {
        "name": name,
        "title": given.title,
        "quantity": given.quantity,
        "unit": given.unit,
        "default": bounds.default,
        "low": bounds.low,
        "high": bounds.high,
        "expects": expects(given),
        "written": given.default or "",
        "plate": given.plate or "",
        "help": given.help or "",
    }


def _constant(id: str, constant: Any) -> dict:
    amount = amount_of(constant)
    return {
        "name": id,
        "title": constant.title,
        "value": amount.value_si,
        "quantity": amount.quantity,
        "source": constant.source,
    }


def _output(name: str, output: Any) -> dict:
    return {
        "name": name,
        "title": output.title,
        "quantity": output.quantity,
        "unit": output.unit,
        "digits": output.digits,
        "says": output.says or "",
    }
