"""What may be added, compared, multiplied and raised, and what comes out.

The rules beyond exponents: a temperature minus a temperature is a difference, a temperature plus or minus a
difference is a temperature, and a temperature takes part in nothing else. Gauge and absolute pressure
neither add nor compare with each other; the difference of two absolute pressures is a gauge pressure, and
products forget the kind.
"""

from __future__ import annotations

from fractions import Fraction

from sparkgap.dimensions import (
    ABSOLUTE,
    GAUGE,
    PLAIN,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TEXT,
    TRUTH,
    Dimension,
)
from sparkgap.kinds import words

from .errors import FormulaError

_BY_MAGNITUDE = 'take the number with magnitude(x, "unit") and give it back a unit with of(number, "unit")'


def together(left: Dimension, right: Dimension, doing: str, column: int) -> Dimension:
    """The common dimension of two values that stand side by side; ``doing`` is "add", "compare", "choose"."""
    if left == right:
        return left
    if left.fits(right):
        return left if left.kind else right
    fix = "bring both sides to one dimension"
    if left.exponents == right.exponents and not left.plain:
        fix = _BY_MAGNITUDE
    raise FormulaError(f"cannot {doing} {words(left)} and {words(right)}", column, fix)


def numeric(dimension: Dimension, column: int) -> None:
    """Refuse texts and yes-or-no values where a number belongs."""
    if dimension in (TEXT, TRUTH):
        raise FormulaError(f"cannot compute with {words(dimension)}", column, "use a number here")


def truth(dimension: Dimension, column: int) -> None:
    """Refuse anything but a yes or no."""
    if dimension != TRUTH:
        message = f"a condition is needed here, not {words(dimension)}"
        raise FormulaError(message, column, "compare, e.g. x > 0")


def add(left: Dimension, right: Dimension, column: int) -> Dimension:
    """left + right."""
    if left == right == TEMPERATURE:
        fix = "add a temperature difference, or average with a + (b - a) / 2"
        raise FormulaError("cannot add temperature and temperature", column, fix)
    if {left, right} == {TEMPERATURE, TEMPERATURE_DIFFERENCE}:
        return TEMPERATURE
    return together(left, right, "add", column)


def subtract(left: Dimension, right: Dimension, column: int) -> Dimension:
    """left - right."""
    if left == TEMPERATURE and right == TEMPERATURE_DIFFERENCE:
        return TEMPERATURE
    common = together(left, right, "subtract", column)
    if common == TEMPERATURE:
        return TEMPERATURE_DIFFERENCE
    return GAUGE if common == ABSOLUTE else common


def scale(dimension: Dimension, doing: str, column: int) -> Dimension:
    """A factor of a product, its kind forgotten; a temperature is refused."""
    if dimension == TEMPERATURE:
        fix = 'use a temperature difference, or magnitude(x, "K")'
        raise FormulaError(f"cannot {doing} temperature", column, fix)
    return Dimension(dimension.exponents)


def multiply(left: Dimension, right: Dimension, column: int, left_column: int) -> Dimension:
    """left * right; a plain number leaves the other side what it is."""
    scale(left, "multiply", left_column)
    scale(right, "multiply", column)
    if left.plain or right.plain:
        return right if left.plain else left
    return left * right


def divide(left: Dimension, right: Dimension, column: int, left_column: int) -> Dimension:
    """left / right; divided by a plain number it stays what it is."""
    scale(left, "divide", left_column)
    scale(right, "divide", column)
    return left if right.plain else left / right


def raise_to(base: Dimension, exponent: Fraction | None, column: int, base_column: int) -> Dimension:
    """base ** exponent; an exponent that is not constant (None) leaves only plain numbers."""
    scale(base, "raise", base_column)
    if base.plain:
        return PLAIN
    if exponent is None:
        message = f"cannot raise {words(base)} to a power that changes"
        raise FormulaError(message, column, "use a constant power, or take the number with magnitude()")
    if exponent.denominator > 12 or abs(exponent) > 12:
        message = f"cannot raise {words(base)} to the power {float(exponent):g}"
        raise FormulaError(message, column, 'take the number with magnitude(x, "unit") first')
    return base**exponent
