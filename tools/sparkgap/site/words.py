"""How amounts, conditions, qualifications and times are said on a page."""

from __future__ import annotations

import json
from typing import Any

from .. import names
from ..knowledge.model import Act, Amount, Band, Condition, Knowledge, Minutes
from ..quantities import QUANTITIES, QuantityError, format_quantity, parse_quantity

SYSTEMS, system_title = names.SYSTEMS, names.system_title
QUALIFICATIONS = {
    "owner": "Owner", "technician": "Technician", "gas-qualified": "Qualified for gas",
    "electrical-qualified": "Qualified for mains power",
}
TIERS = ("Look and listen", "Cold unit, covers off", "Unit running", "Gas open or mains live")
SOURCE_KINDS = {
    "standard": "Standard", "handbook": "Handbook", "library": "Reference library", "dataset": "Data set",
    "common-practice": "Common practice", "memory": "From memory", "demo": "Invented for the demonstration",
}
HAZARDS = {
    "gas": "Gas", "burn": "Burn", "mains": "Mains power", "stored-energy": "Stored energy", "water": "Water",
    "battery": "Battery", "vehicle": "Vehicle", "combustion-products": "Combustion products",
}


def amount(value: Amount | None) -> str:
    """An amount as written, the other system beside it."""
    if value is None:
        return ""
    return quantity_text(value.text, value.quantity)


def quantity_text(text: str, quantity: str) -> str:
    """A written quantity with the other system beside it; text that is no quantity stays as it is."""
    try:
        return parse_quantity(text, quantity).show()
    except QuantityError:
        return text


def unit_of(value: Amount) -> str:
    """The unit in which an amount was written, "" for a plain number."""
    return parse_quantity(value.text, value.quantity).unit


def usual_unit(quantity: str) -> str:
    """The unit in which a quantity is shown first."""
    return QUANTITIES[quantity].us


def condition(knowledge: Knowledge, when: Condition) -> str:
    """A condition in words: "Tank volume at least 10 gal, Ignition direct spark"."""
    return ", ".join(_term(knowledge, term) for term in when) or "every unit"


def _term(knowledge: Knowledge, term: Any) -> str:
    plate = knowledge.plate.get(term.name)
    title = plate.title if plate else term.name
    if term.any and plate is not None and plate.values:
        says = [str(plate.values.get(value, value)).split(",")[0].lower() for value in term.any]
        return f"{title.lower()}: {' or '.join(says)}"
    quantity, unit = (plate.quantity, plate.unit) if plate else ("count", "")
    said = [f"{word} {_plain(bound, quantity, unit)}" for word, bound in
            (("from", term.low), ("below", term.high)) if bound is not None]
    said += [_plain(value, quantity, unit) for value in term.any]
    return f"{title.lower()} {' and '.join(said)}"


def _plain(si: float, quantity: str, unit: str) -> str:
    return format_quantity(si, quantity, unit=unit if unit not in ("", "1") else None)


def condition_json(when: Condition) -> str:
    """A condition for the scripts."""
    return json.dumps([term.as_json() for term in when], sort_keys=True)


def limits(band: Band) -> str:
    """A band in words: "1/8 in to 3/16 in"."""
    if band.low and band.high:
        return f"{amount(band.low)} to {amount(band.high)}"
    if band.low:
        return f"at least {amount(band.low)}"
    return f"at most {amount(band.high)}" if band.high else "no limit, a plain reading"


def minutes(value: Minutes) -> str:
    """How long: "3 min", or "about 50 min, worked out for the unit"."""
    typical = f"{value.typical:g} min"
    return f"about {typical}, worked out for the unit" if value.calculator else typical


def access_chain(knowledge: Knowledge, name: str) -> list[str]:
    """The accesses that must be open, outermost first; a cycle ends the walk."""
    chain: list[str] = []
    while name in knowledge.access and name not in chain:
        chain.append(name)
        name = knowledge.access[name].inside
    return chain[::-1]


def needed(knowledge: Knowledge, act: Act) -> list[str]:
    """Who may do an act: the union of its own, its access's and its gates' qualifications, in a fixed order."""
    who = set(act.who)
    gates = set(act.gates)
    for access in access_chain(knowledge, act.access):
        who |= set(knowledge.access[access].who)
        gates |= set(knowledge.access[access].gates)
    for gate in gates:
        who |= set(knowledge.gates[gate].who) if gate in knowledge.gates else set()
    if who - {"owner"}:
        who -= {"owner"}
    return [name for name in QUALIFICATIONS if name in who]


def all_gates(knowledge: Knowledge, act: Act) -> list[str]:
    """The gates of an act, its own first, then those of what it opens."""
    gates = list(act.gates)
    for access in access_chain(knowledge, act.access):
        gates += knowledge.access[access].gates
    return [gate for gate in dict.fromkeys(gates) if gate in knowledge.gates]


def state_words(states: dict[str, str]) -> str:
    """Required or left states in words: "gas off, burner cool"."""
    return ", ".join(f"{name} {value}" for name, value in states.items())
