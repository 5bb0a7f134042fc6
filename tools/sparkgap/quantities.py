"""Quantities as the trade writes them: read "1/8 in" or "-5 degF", hold SI, show US first and SI beside.

Inside Sparkgap every quantity is its SI magnitude, a plain float. Units exist at the edges: what people write
is read by :func:`parse_quantity`, what they see is written by :func:`format_quantity` and :func:`both`.
The browser does the same with conf/static/js/quantities.js over :func:`units_json`, :func:`quantities_json`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal

from sparkgap.dimensions import PLAIN, TEMPERATURE, TEXT, Dimension
from sparkgap.kinds import QUANTITIES, QuantityError, QuantityKind, dimension_of, kind_of, words
from sparkgap.units import HINTS, UNITS, Unit

__all__ = [
    "QUANTITIES",
    "UNITS",
    "Quantity",
    "QuantityError",
    "QuantityKind",
    "Unit",
    "both",
    "dimension_of",
    "format_number",
    "format_quantity",
    "hints_json",
    "kind_of",
    "parse_number",
    "parse_quantity",
    "quantities_json",
    "unit_of",
    "units_json",
    "words",
]

LONGEST = 60  # characters of a written quantity
LARGEST = 1e200  # in SI; beyond it a change of unit could leave what a double holds
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?))(?![\d./])",
    re.ASCII,
)
_COMMA = re.compile(r"[+-]?[\d.]*,", re.ASCII)
_SPACES = re.compile("[ \t\n\r\f\v\u00a0\u2007\u2009\u202f]+")


@dataclass(frozen=True)
class Quantity:
    """A quantity that was read: its SI magnitude, its unit ("" for a bare number) and how it was written."""

    value_si: float
    unit: str
    dimension: Dimension
    text: str
    written: str
    """The number alone as typed: "3 1/4"."""
    quantity: str | None = None

    def typed(self) -> str:
        """As typed, with the unit's label: "1/8 in", "140 °F"."""
        return _with_label(self.written, self.unit or "1")

    def show(self, digits: int = 3) -> str:
        """As typed, the other system beside it: "1/8 in (3.18 mm)"; typed in SI, it stands second."""
        quantity = self.quantity or _quantity_of(self.unit)
        return both(self.value_si, quantity, unit=self.unit or None, digits=digits, written=self.written)


def _quantity_of(unit: str) -> str:
    """The first quantity shown in this unit, else the first that accepts it."""
    shown = [kind.id for kind in QUANTITIES.values() if unit in (kind.us, kind.si)]
    return (shown or [kind.id for kind in QUANTITIES.values() if unit and kind.accepts(UNITS[unit])])[0]


def unit_of(spelling: str, quantity: str | None = None) -> Unit:
    """The unit of a spelling; with a quantity its shown label ("°F") counts too. Errors say what to write."""
    kind = kind_of(quantity) if quantity else None
    labels = {UNITS[id].label: UNITS[id] for id in reversed(kind.units)} if kind else {}
    unit = UNITS.get(spelling) or labels.get(spelling)
    if unit is None:
        message = f'"{spelling}" is not a unit that Sparkgap knows'
        raise QuantityError(message, HINTS.get(spelling) or _offer(kind))
    if kind and not kind.accepts(unit):
        other = UNITS[spelling].dimension if spelling in UNITS else unit.dimension
        raise QuantityError(f"{unit.id} measures {words(other)}, not {kind.title}", _offer(kind))
    return unit


def _offer(kind: QuantityKind | None) -> str:
    if kind is None:
        return "use a unit that Sparkgap lists, e.g. in, gal, degF, psi, Btu/h"
    if kind.dimension.plain:
        return "write a number without a unit, or with %"
    return f"write {', '.join(kind.units)}" if kind.units else "write one of the listed values"


def parse_number(text: str) -> tuple[float, str, str]:
    """The number that a text begins with, as value and as written, and the rest: 3.25, "3 1/4", "in"."""
    clean = _SPACES.sub(" ", text.replace("\u2212", "-")).strip(" ")
    if not clean:
        raise QuantityError("nothing is written", "write a number")
    if len(clean) > LONGEST:
        raise QuantityError("this is too long for a quantity", "write a number and a unit")
    if _COMMA.match(clean):
        raise QuantityError("a comma is not read", "use a point for decimals and nothing between thousands")
    match = _NUMBER.match(clean)
    if not match:
        raise QuantityError(f'"{clean}" does not begin with a number', 'write e.g. "12.5", "1/8" or "3 1/4"')
    value = _value(match)
    if value in (float("inf"), float("-inf")):
        raise QuantityError(f'"{match[0]}" is too large', "write a number that can be measured")
    return value, match[0], clean[match.end() :].strip(" ")


def _value(match: re.Match[str]) -> float:
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["decimal"]:
        return sign * float(match["decimal"])
    if int(match["bottom"]) == 0:
        raise QuantityError(f'"{match[0]}" divides by zero', "write a fraction such as 1/8")
    return sign * (float(match["whole"] or 0) + float(match["top"]) / float(match["bottom"]))


def parse_quantity(text: str, quantity: str | None = None) -> Quantity:
    """Read a written quantity: "1/8 in", "3 1/4 in", "11 inH2O", "-5 degF"; bare only a plain number.

    With a quantity id the unit must measure it: "70 degF" is no temperature difference. Raises QuantityError.
    """
    if not isinstance(text, str):
        raise QuantityError(f"{text!r} is not a text", 'write the quantity in quotes, e.g. "11 inH2O"')
    kind = kind_of(quantity) if quantity else None
    if kind and kind.dimension == TEXT:
        raise QuantityError("a choice is not a quantity", "write one of the listed values")
    value, written, spelling = parse_number(text)
    if not spelling:
        if kind and not kind.dimension.plain:
            raise QuantityError(f'"{written}" has no unit', _offer(kind))
        _refuse_large(value, written)
        return Quantity(value, "", PLAIN, text, written, quantity)
    unit = unit_of(spelling, quantity)
    dimension = kind.dimension if kind else unit.dimension
    value_si = unit.to_si(value)
    _refuse_large(value_si, f"{written} {unit.id}")
    if unit.dimension == TEMPERATURE and dimension == TEMPERATURE and value_si < 0:
        message = f'"{written} {unit.id}" is below absolute zero'
        raise QuantityError(message, "write a temperature that can be")
    return Quantity(value_si, unit.id, dimension, text, written, quantity)


def _refuse_large(value_si: float, written: str) -> None:
    if not abs(value_si) <= LARGEST:
        raise QuantityError(f'"{written}" is too large', "write a number that can be measured")


def format_number(value: float, digits: int = 3) -> str:
    """At most so many significant digits, halves away from zero, no zeros at the end, no binary noise.

    Rounded to twelve digits first, so that 0.285, which no double holds, still rounds to 0.29.
    """
    if digits < 1 or digits > 12:
        raise ValueError(f"digits must lie between 1 and 12, not {digits}")
    number = Decimal(value)
    if not number.is_finite():
        raise ValueError(f"{value} cannot be shown")
    for precision in (12, digits):
        number = Context(prec=precision, rounding=ROUND_HALF_UP).plus(number)
    if not number:
        return "0"
    number = number.normalize(Context(prec=12))
    if -7 <= number.adjusted() < 15:
        return f"{number:f}"
    mantissa = number.scaleb(-number.adjusted())
    return f"{mantissa:f}e{number.adjusted()}"


def format_quantity(
    value_si: float, quantity: str, system: str = "us", digits: int = 3, unit: str | None = None
) -> str:
    """An SI magnitude with its unit: "11 in w.c.". ``unit`` is used instead of the quantity's US unit; in the
    "si" system the unit that stands beside it."""
    kind = kind_of(quantity)
    if system not in ("us", "si"):
        raise ValueError(f'there is no system "{system}"')
    if unit and not kind.accepts(UNITS[unit]):
        raise QuantityError(f"{unit} does not measure {kind.title}", _offer(kind))
    shown = (unit if system == "us" else UNITS[unit].si) if unit else getattr(kind, system)
    if not shown:
        return format_number(value_si, digits)
    return _with_label(format_number(UNITS[shown].from_si(value_si), digits), shown)


def _with_label(number: str, unit: str) -> str:
    return number + ("" if unit in ("%", "1") else " ") + UNITS[unit].label


def both(
    value_si: float, quantity: str, unit: str | None = None, digits: int = 3, written: str | None = None
) -> str:
    """US first, SI beside: "11 in w.c. (2.74 kPa)"; once only where both are the same.

    ``unit`` is the unit to show (an SI unit takes the second place), ``written`` the number as typed in it.
    """
    kind = kind_of(quantity)
    first, second = _pair(kind, unit)
    texts = []
    for shown in dict.fromkeys([first, second]):
        if written and shown == (unit or ""):
            texts.append(_with_label(written, shown) if shown else written)
        elif shown:
            texts.append(_with_label(format_number(UNITS[shown].from_si(value_si), digits), shown))
        else:
            texts.append(format_number(value_si, digits))
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


def _pair(kind: QuantityKind, unit: str | None) -> tuple[str, str]:
    """The units shown first and beside."""
    if unit is None:
        return kind.us, kind.si
    if not kind.accepts(UNITS[unit]):
        raise QuantityError(f"{unit} does not measure {kind.title}", _offer(kind))
    if UNITS[unit].si != unit:
        return unit, UNITS[unit].si
    if kind.us == kind.si:
        return unit, unit
    return kind.us, unit


def hints_json() -> dict[str, str]:
    """For the browser: what to write instead of a spelling that is not read."""
    return dict(HINTS)


def units_json() -> dict[str, dict]:
    """The units for the browser: id -> dimension (text), factor and offset to SI, label, the unit beside."""
    return {
        unit.id: {
            "dimension": unit.dimension.text(),
            "factor": unit.factor,
            "offset": unit.offset,
            "label": unit.label,
            "si": unit.si,
        }
        for unit in UNITS.values()
    }


def quantities_json() -> dict[str, dict]:
    """The quantities for the browser: id -> title, dimension (text), units shown and units read."""
    return {
        kind.id: {
            "title": kind.title,
            "dimension": kind.dimension.text(),
            "us": kind.us,
            "si": kind.si,
            "units": kind.units,
        }
        for kind in QUANTITIES.values()
    }
