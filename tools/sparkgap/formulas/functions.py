"""The functions of the language. conf/static/js/formulas.js has each under the same name."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from .errors import FormulaError

_HUGE = "the result is too large to compute"


@dataclass(frozen=True)
class Function:
    """A function: how many arguments (None: two or more), what they must measure, and what it computes.

    ``takes`` is "plain" (numbers without unit), "any" (any amount) or "alike" (all of one dimension);
    ``gives`` is "plain", "same" or "root" (half the exponents).
    """

    arguments: int | None
    takes: str
    gives: str
    compute: Callable[..., float]
    says: str


def divide(left: float, right: float) -> float:
    """left / right; by zero is an error, never an infinity."""
    if right == 0:
        raise FormulaError("this divides by zero", 0, "guard it with if/else or check the inputs")
    return left / right


def whole_power(base: float, power: int) -> float:
    """base multiplied by itself, one by one and left to right."""
    result = 1.0 if power == 0 else base
    for _ in range(abs(power) - 1):
        result *= base
    return divide(1.0, result) if power < 0 else result


def power(base: float, exponent: float) -> float:
    """base ** exponent for any real exponent."""
    if base < 0 and exponent != math.floor(exponent):
        raise FormulaError("a negative number has no such power", 0, "check the sign of the base")
    if base == 0 and exponent < 0:
        raise FormulaError("this divides by zero", 0, "guard it with if/else or check the inputs")
    try:
        return math.pow(base, exponent)
    except OverflowError:
        raise FormulaError(_HUGE, 0, "check the inputs") from None


def square_root(x: float) -> float:
    """The square root of what is not negative."""
    if x < 0:
        raise FormulaError("a negative number has no square root", 0, "check the inputs")
    return math.sqrt(x)


def exponential(x: float) -> float:
    """e ** x."""
    try:
        return math.exp(x)
    except OverflowError:
        raise FormulaError(_HUGE, 0, "check the inputs") from None


def logarithm(x: float) -> float:
    """The natural logarithm of what is above zero."""
    if x <= 0:
        raise FormulaError("only a number above zero has a logarithm", 0, "check the inputs")
    return math.log(x)


def least(first: float, *rest: float) -> float:
    """The least of the values."""
    for value in rest:
        first = value if value < first else first
    return first


def greatest(first: float, *rest: float) -> float:
    """The greatest of the values."""
    for value in rest:
        first = value if value > first else first
    return first


def magnitude(x: float, factor: float, offset: float) -> float:
    """The number in a unit of an SI magnitude."""
    return (x - offset) / factor


def of(number: float, factor: float, offset: float) -> float:
    """The SI magnitude of a number in a unit."""
    return number * factor + offset


FUNCTIONS: dict[str, Function] = {
    "sqrt": Function(1, "any", "root", square_root, "square root"),
    "exp": Function(1, "plain", "plain", exponential, "e to the power of a plain number"),
    "log": Function(1, "plain", "plain", logarithm, "natural logarithm of a plain number"),
    "abs": Function(1, "any", "same", math.fabs, "the value without its sign"),
    "floor": Function(1, "plain", "plain", lambda x: float(math.floor(x)), "the next whole number down"),
    "min": Function(None, "alike", "same", least, "the least of two or more"),
    "max": Function(None, "alike", "same", greatest, "the greatest of two or more"),
    "power": Function(2, "plain", "plain", power, "** with another than a small whole exponent"),
    "magnitude": Function(3, "any", "plain", magnitude, 'magnitude(x, "unit"): the number of x in a unit'),
    "of": Function(3, "plain", "any", of, 'of(number, "unit"): the quantity of a number in a unit'),
}
"""Functions of numbers; q, interpolate and lookup read texts and tables and are built apart."""

WRITTEN = (*(name for name in FUNCTIONS if name != "power"), "q", "interpolate", "lookup")
"""What an author may write."""
