"""Names that nobody knows, and the names that were meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

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
