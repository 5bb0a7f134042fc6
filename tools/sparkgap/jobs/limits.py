"""Limits, data-plate values and parts in words, as the papers of a job print them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..knowledge import Knowledge
from ..knowledge.acts import Band, Tolerance
from ..knowledge.conditions import holds
from ..knowledge.entities import Amount, Term
from ..quantities import both, parse_quantity

QUALIFICATIONS = {"owner": "the owner", "technician": "a technician", "gas-qualified": "qualified for gas",
                  "electrical-qualified": "qualified for mains power"}


def limits_text(knowledge: Knowledge, tolerance: Tolerance, plate: Mapping[str, Any]) -> str:
    """The limits in words; with an unknown plate every variant is named with its condition."""
    states = [(band, holds(band.when, plate)) for band in tolerance.bands]
    possible = [band for band, state in states if state is not False]
    if not possible:
        return "no limit is listed for this unit"
    if len(possible) == 1 and all(state is not None for _, state in states):
        return _band_text(possible[0], tolerance)
    return "; ".join(f"{_band_text(band, tolerance)} ({_when_text(knowledge, band)})" for band in possible)


def plate_text(knowledge: Knowledge, name: str, value: Any) -> str:
    """A value of the data plate as it is read there, US units first."""
    known = knowledge.plate[name]
    return known.values[value] if known.kind == "choice" else both(value, known.quantity, unit=known.unit or None)


def plate_lines(knowledge: Knowledge, plate: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(title, value) for each known value of a data plate."""
    return [(knowledge.plate[name].title, plate_text(knowledge, name, value)) for name, value in plate.items()]


def fitting_items(knowledge: Knowledge, part: str, plate: Mapping[str, Any]) -> list[str]:
    """The items of a part that may fit a unit."""
    return [fit.item for fit in knowledge.parts[part].fits if holds(fit.when, plate) is not False]


def people(who: tuple[str, ...]) -> str:
    """Who may do an act, in words; empty when anybody may."""
    return " and ".join(QUALIFICATIONS[name] for name in who if name != "owner")


def _band_text(band: Band, tolerance: Tolerance) -> str:
    low, high = (_amount(limit, tolerance.quantity) for limit in (band.low, band.high))
    if low and high:
        return f"{low} to {high}"
    if low:
        return f"at least {low}"
    return f"at most {high}" if high else "write down"


def _amount(amount: Amount | None, quantity: str) -> str:
    return "" if amount is None else parse_quantity(amount.text, quantity).show()


def _when_text(knowledge: Knowledge, band: Band) -> str:
    return ", ".join(_term_text(knowledge, term) for term in band.when)


def _term_text(knowledge: Knowledge, term: Term) -> str:
    title = knowledge.plate[term.name].title
    if term.any:
        return f"{title}: {' or '.join(plate_text(knowledge, term.name, value) for value in term.any)}"
    words = [f"{word} {plate_text(knowledge, term.name, limit)}"
             for word, limit in (("at least", term.low), ("below", term.high)) if limit is not None]
    return f"{title}: {' and '.join(words)}"
