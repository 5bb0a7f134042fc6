"""Words for plain text: lines that fit a claim form, and texts from outside without what could steer a screen."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any

WIDTH = 78  # characters of a line
_KEPT = "\n\t\u200c\u200d"  # the joiners belong to words of some languages


def cleaned(value: Any) -> Any:
    """A value of JSON whose texts hold no control characters and none that turn the direction of reading."""
    if isinstance(value, str):
        return "".join(one for one in value if one in _KEPT or unicodedata.category(one) not in ("Cc", "Cf", "Cs"))
    if isinstance(value, list):
        return [cleaned(one) for one in value]
    if isinstance(value, dict):
        return {key: cleaned(one) for key, one in value.items()}
    return value


def filled(text: str, indent: str = "", first: str | None = None) -> str:
    """A text in lines that fit; its own line breaks stay, and a word that is too long is broken."""
    start = indent if first is None else first
    lines = []
    for part in text.split("\n"):
        lines += textwrap.wrap(part, WIDTH, initial_indent=start if not lines else indent,
                               subsequent_indent=indent) or [""]
    return "\n".join(lines).rstrip()


def listed(texts: Iterable[str], mark: str = "- ") -> str:
    """One text below the other, each behind a mark."""
    return "\n".join(filled(text, " " * len(mark), mark) for text in texts)


def section(title: str, *texts: str) -> str:
    """A part of a text below its title in capitals: plain text has no other headings."""
    return "\n".join([title.upper(), *texts])


def columns(rows: Sequence[Sequence[str]], widths: Sequence[int]) -> str:
    """Rows of a table in columns of those widths, two blanks between them; a long cell goes on below itself."""
    lines = []
    for row in rows:
        cells = [textwrap.wrap(cell, width) or [""] for cell, width in zip(row, widths, strict=True)]
        for number in range(max(map(len, cells))):
            parts = [(cell[number] if number < len(cell) else "").ljust(width)
                     for cell, width in zip(cells, widths, strict=True)]
            lines.append("  ".join(parts).rstrip())
    return "\n".join(lines)
