"""Whether a condition holds for a data plate: yes, no, or unknown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .entities import Condition, Term


def holds(condition: Condition, plate: Mapping[str, Any]) -> bool | None:
    """True when every term holds, False when one does not, None when it cannot be said for a missing value."""
    result: bool | None = True
    for term in condition:
        one = _term(term, plate.get(term.name))
        if one is False:
            return False
        if one is None:
            result = None
    return result


def _term(term: Term, value: Any) -> bool | None:
    if value is None:
        return None
    if term.any:
        return any(_same(value, wanted) for wanted in term.any)
    if term.low is not None and value < term.low and not _same(value, term.low):
        return False
    return term.high is None or (value < term.high and not _same(value, term.high))


def _same(value: Any, wanted: Any) -> bool:
    # Numbers come through unit conversions: 6 gal typed as 22.71 L must not miss by a rounding error.
    if isinstance(value, float) and isinstance(wanted, float):
        return abs(value - wanted) <= 1e-9 * max(abs(value), abs(wanted))
    return value == wanted


def clash(one: Condition, other: Condition) -> bool:
    """Whether no unit can meet both: they allow different values of the same choice."""
    return any(a.name == b.name and a.any and b.any and not any(_same(x, y) for x in a.any for y in b.any)
               for a in one for b in other)
