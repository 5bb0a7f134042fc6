"""A calculator as a program: checked once, run in Python, written as JavaScript with all that its page shows.

Duck-typed: a calculator has id, title, inputs, constants, tables, steps and outputs; a constant has value_si,
quantity, title and source (or an ``amount`` with the first two); a table has key, columns and rows in SI.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from sparkgap.dimensions import TEXT, Dimension
from sparkgap.kinds import QUANTITIES, QuantityError, dimension_of, words
from sparkgap.quantities import parse_quantity

from .build import offer
from .description import amount_of, describe, expects
from .errors import FormulaError, InputError
from .evaluate import Value
from .expression import Expression, compile_expression
from .functions import WRITTEN
from .javascript import NAME, script_json
from .tables import TableData, table_data

KeyPath = tuple[str, ...]
_WORD = re.compile(r"\w+")


@dataclass(frozen=True)
class Bounds:
    """What an input may be, in SI; None where the calculator says nothing."""

    default: Value | None
    low: float | None
    high: float | None


@dataclass
class Program:
    """A calculator with its expressions compiled; ``problems`` holds what is wrong, by key path."""

    calculator: Any
    constants: Mapping[str, Any]
    tables: dict[str, TableData]
    bounds: dict[str, Bounds] = field(default_factory=dict)
    steps: dict[str, Expression] = field(default_factory=dict)
    outputs: dict[str, Expression] = field(default_factory=dict)
    problems: list[tuple[KeyPath, FormulaError]] = field(default_factory=list)
    failed: set[str] = field(default_factory=set)

    @cached_property
    def constant_values(self) -> dict[str, float]:
        """The constants that the calculator names, in SI."""
        return {id: amount_of(self.constants[id]).value_si for id in self.calculator.constants}

    def trace(self, inputs_si: Mapping[str, Value]) -> dict[str, Value]:
        """The steps and outputs in SI. Raises InputError for a bad input, FormulaError for a failed step."""
        self._refuse()
        known = self.calculator.inputs
        for name in inputs_si:
            if name not in known:
                message = f'"{name}" is not an input of {self.calculator.title}'
                raise InputError(name, message, f"use one of: {', '.join(known)}")
        values: dict[str, Value] = dict(self.constant_values)
        for name, given in known.items():
            values[name] = checked(name, given, self.bounds[name], inputs_si.get(name))
        results: dict[str, Value] = {}
        for name, expression in (*self.steps.items(), *self.outputs.items()):
            results[name] = values[name] = expression.evaluate(values)
        return results

    def run(self, inputs_si: Mapping[str, Value]) -> dict[str, Value]:
        """The outputs alone."""
        results = self.trace(inputs_si)
        return {name: results[name] for name in self.outputs}

    def emit(self) -> str:
        """The JavaScript statement that registers the calculator under ``Sparkgap.calculators``."""
        self._refuse()
        lines = [
            f"  v.{name} = {expression.javascript()};"
            for name, expression in (*self.steps.items(), *self.outputs.items())
        ]
        described = script_json(describe(self))
        head = f"Sparkgap.calculators[{script_json(self.calculator.id)}] = Sparkgap.formulas.calculator("
        return "\n".join([f"{head}{described}, function (v, t, F) {{", *lines, "});\n"])

    def _refuse(self) -> None:
        if self.problems:
            raise self.problems[0][1]


def checked(name: str, given: Any, bounds: Bounds, value: Value | None) -> Value:
    """The value of an input, or its default. Raises InputError when missing, no number or out of bounds."""
    value = bounds.default if value is None else value
    if value is None:
        raise InputError(name, f"{given.title} is missing", f"enter {expects(given)}")
    if given.quantity == "choice":
        right = isinstance(value, str)
    else:
        right = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if not right:
        raise InputError(name, f"{given.title} is not a number", f"enter {expects(given)}")
    if (bounds.low is not None and value < bounds.low) or (bounds.high is not None and value > bounds.high):
        raise InputError(name, f"{given.title} is out of bounds", f"enter {expects(given)}")
    return value


def inputs_from_plate(calculator: Any, plate: Mapping[str, Value]) -> dict[str, Value]:
    """The inputs that the data plate answers, by input name."""
    return {name: plate[i.plate] for name, i in calculator.inputs.items() if i.plate and i.plate in plate}


def compile_calculator(
    calculator: Any, constants: Mapping[str, Any] | None = None, tables: Mapping[str, Any] | None = None
) -> Program:
    """Compile and check everything; what is wrong stands in ``problems``, nothing is raised."""
    program = Program(calculator, constants or {}, {})
    _tables(program, tables or {})
    names = _constants(program)
    for name, given in calculator.inputs.items():
        _claim(program, names, ("inputs", name), name, _input(program, name, given))
    for name, step in calculator.steps.items():
        expression = _expression(program, ("steps", name, "expression"), step.expression, names)
        if expression:
            program.steps[name] = expression
        _claim(program, names, ("steps", name), name, expression and expression.dimension)
    for name, output in calculator.outputs.items():
        _output(program, name, output, names)
    return program


def _tables(program: Program, tables: Mapping[str, Any]) -> None:
    for id in program.calculator.tables:
        try:
            if id not in tables:
                raise FormulaError(f'there is no table "{id}"', 0, offer(id, tables))
            program.tables[id] = table_data(id, tables[id])
        except (FormulaError, QuantityError) as error:
            program.problems.append((("tables",), FormulaError(error.message, 0, error.fix)))
            program.failed.update((id, id.replace("-", "_")))


def _constants(program: Program) -> dict[str, Dimension]:
    names: dict[str, Dimension] = {}
    for id in program.calculator.constants:
        if id in program.constants:
            quantity = amount_of(program.constants[id]).quantity
            _claim(program, names, ("constants",), id, dimension_of(quantity))
        else:
            fix = offer(id, program.constants)
            program.problems.append((("constants",), FormulaError(f'there is no constant "{id}"', 0, fix)))
            program.failed.add(id)
    return names


def _claim(
    program: Program, names: dict[str, Dimension], path: KeyPath, name: str, dimension: Dimension | None
) -> None:
    """Enter a name, once; one whose own definition failed stays out, and what uses it is not complained of."""
    if not NAME.match(name) or name in WRITTEN or name in ("and", "or", "not", "if", "else"):
        fix = "use lower-case letters, digits and underscores, and no word of the language"
        program.problems.append((path, FormulaError(f'"{name}" cannot be a name', 0, fix)))
    elif name in names:
        program.problems.append((path, FormulaError(f'"{name}" is used twice', 0, "rename one of them")))
    elif dimension is None:
        program.failed.add(name)
    else:
        names[name] = dimension


def _input(program: Program, name: str, given: Any) -> Dimension | None:
    """Read default and bounds; the dimension of the input."""
    try:
        dimension = dimension_of(given.quantity)
    except QuantityError as error:
        program.problems.append((("inputs", name, "quantity"), FormulaError(error.message, 0, error.fix)))
        return None
    _check_unit(program, ("inputs", name, "unit"), given)
    if dimension == TEXT:
        program.bounds[name] = Bounds(given.default or None, None, None)
        return dimension
    default, low, high = (_read(program, name, given, key) for key in ("default", "low", "high"))
    program.bounds[name] = Bounds(default, low, high)
    if low is not None and high is not None and low > high:
        problem = FormulaError("low is above high", 0, "exchange them")
        program.problems.append((("inputs", name, "low"), problem))
    elif default is not None and not (low if low is not None else default) <= default <= (
        high if high is not None else default
    ):
        problem = FormulaError("the default lies outside the bounds", 0, f"use {expects(given)}")
        program.problems.append((("inputs", name, "default"), problem))
    return dimension


def _read(program: Program, name: str, given: Any, key: str) -> float | None:
    text = getattr(given, key, None)
    if not text:
        return None
    try:
        return parse_quantity(text, given.quantity).value_si
    except QuantityError as error:
        program.problems.append((("inputs", name, key), FormulaError(error.message, 0, error.fix)))
        return None


def _check_unit(program: Program, path: KeyPath, shown: Any) -> None:
    kind = QUANTITIES[shown.quantity]
    if shown.unit and shown.unit not in kind.units:
        fix = f"use one of: {', '.join(kind.units) or 'no unit'}"
        program.problems.append((path, FormulaError(f"{shown.unit} does not measure {kind.title}", 0, fix)))


def _expression(
    program: Program, path: KeyPath, text: str, names: Mapping[str, Dimension]
) -> Expression | None:
    if program.failed & set(_WORD.findall(str(text))):
        return None
    try:
        return compile_expression(text, names, program.tables)
    except FormulaError as error:
        program.problems.append((path, error))
        return None


def _output(program: Program, name: str, output: Any, names: dict[str, Dimension]) -> None:
    expression = _expression(program, ("outputs", name, "expression"), output.expression, names)
    if output.quantity not in QUANTITIES:
        fix = offer(str(output.quantity), QUANTITIES)
        problem = FormulaError(f'there is no quantity "{output.quantity}"', 0, fix)
        program.problems.append((("outputs", name, "quantity"), problem))
        return
    _check_unit(program, ("outputs", name, "unit"), output)
    if not (isinstance(output.digits, int) and 1 <= output.digits <= 12):
        message = f"{output.digits} digits cannot be shown"
        problem = FormulaError(message, 0, "use a whole number from 1 to 12")
        program.problems.append((("outputs", name, "digits"), problem))
    declared = dimension_of(output.quantity)
    if expression and not expression.dimension.fits(declared):
        message = f"the expression gives {words(expression.dimension)}, the output is {words(declared)}"
        problem = FormulaError(message, 1, "mend the expression or the output's quantity")
        program.problems.append((("outputs", name, "expression"), problem))
    if expression:
        program.outputs[name] = expression
    _claim(program, names, ("outputs", name), name, expression and declared)


def check_calculator(
    calculator: Any, constants: Mapping[str, Any] | None = None, tables: Mapping[str, Any] | None = None
) -> list[tuple[KeyPath, FormulaError]]:
    """Everything wrong with a calculator as (key path, error), in the order of the file."""
    return compile_calculator(calculator, constants, tables).problems


def run(
    calculator: Any,
    inputs_si: Mapping[str, Value],
    constants: Mapping[str, Any] | None = None,
    tables: Mapping[str, Any] | None = None,
) -> dict[str, Value]:
    """The outputs of a calculator in SI; inputs not given take their defaults."""
    return compile_calculator(calculator, constants, tables).run(inputs_si)


def emit(
    calculator: Any, constants: Mapping[str, Any] | None = None, tables: Mapping[str, Any] | None = None
) -> str:
    """The JavaScript of a calculator: ``Sparkgap.calculators["id"] = …;``."""
    return compile_calculator(calculator, constants, tables).emit()
