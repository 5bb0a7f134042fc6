"""The names of systems; names that nobody knows, and the names that were meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

# The systems of schema/common.schema.json as people say them, in the order in which pages list them.
SYSTEMS = {
    "water-heating": "Water heating", "space-heating": "Space heating", "refrigeration": "Refrigeration",
    "cooking": "Cooking", "lp-gas": "LP gas", "dc-power": "12 V power", "ac-power": "120 V power",
    "fresh-water": "Fresh water", "waste-water": "Waste water", "cooling": "Cooling",
    "body-and-chassis": "Body and chassis",
}
LISTED = 12  # so many names are listed at most
LONGEST = 100  # characters of a name that are compared


def offer(wrong: str, known: Iterable[str]) -> str:
    """What to write instead of an unknown name: the nearest ones, or else the first of those that are known."""
    known = sorted(known)
    near = difflib.get_close_matches(wrong[:LONGEST], known, 3)
    if near:
        return f"did you mean {' or '.join(near)}?"
    if not known:
        return "none is declared yet"
    more = f" and {len(known) - LISTED} more" if len(known) > LISTED else ""
    return f"one of {', '.join(known[:LISTED])}{more}"


def system_title(system: str) -> str:
    """The system as people say it."""
    return SYSTEMS.get(system, system.replace("-", " ").capitalize())
