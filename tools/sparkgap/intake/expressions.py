"""Expressions: one or several words that mean one thing, found among the words of a complaint."""

from __future__ import annotations

from collections.abc import Iterable

from .words import stem, words

GAP = ".."  # in an expression: up to SPAN other words may stand here
SPAN = 3


def parse(expression: str) -> str:
    """An expression as the stems of its words with gaps, joined by blanks."""
    parts = [" ".join(stem(word) for word in words(part)) for part in expression.split(GAP)]
    return f" {GAP} ".join(part for part in parts if part)


class Finder:
    """Looks for many expressions at once, by their first word."""

    def __init__(self, expressions: Iterable[str]) -> None:
        self.by_first: dict[str, list[tuple[str, list[str]]]] = {}
        for one in sorted(set(expressions)):
            parts = one.split(" ")
            self.by_first.setdefault(parts[0], []).append((one, parts))

    def find(self, stems: list[str]) -> dict[str, list[tuple[int, int]]]:
        """For each expression that is said: (first word, word after the last) of every place."""
        found: dict[str, list[tuple[int, int]]] = {}
        for at, word in enumerate(stems):
            for expression, parts in self.by_first.get(word, ()):
                end = _fits(stems, at, parts)
                if end:
                    found.setdefault(expression, []).append((at, end))
        return found


def _fits(stems: list[str], at: int, parts: list[str]) -> int:
    """The word after an expression that begins at a word, 0 when it does not. The nearest word fills a gap."""
    gap = 0
    for part in parts:
        if part == GAP:
            gap = SPAN
            continue
        while gap and at < len(stems) and stems[at] != part:
            at, gap = at + 1, gap - 1
        if at >= len(stems) or stems[at] != part:
            return 0
        at, gap = at + 1, 0
    return at
