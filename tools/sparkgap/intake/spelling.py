"""A word that nobody knows is taken for the known word that it is nearest to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from .words import grams

SHORTEST = 4  # shorter words are as they are: too many are one letter apart
SHARED = 0.4  # so much of the letter pairs (Dice) must be shared before the distance is counted; judged
RESPELLED = 0.75  # what a respelled word weighs; judged


class Speller:
    """The words that a strange word may stand for, found by their letter pairs."""

    def __init__(self, known: Iterable[str], common: Iterable[str]) -> None:
        self.known = sorted(set(known))
        self.right = {*self.known, *common}
        self.by_gram: dict[str, list[int]] = {}
        self.size = []
        self.met: dict[str, str] = {}
        for number, word in enumerate(self.known):
            mine = grams(word)
            self.size.append(len(mine))
            for gram in mine:
                self.by_gram.setdefault(gram, []).append(number)

    def meant(self, word: str) -> str:
        """The known word; the word itself when it is known, short or holds a digit; "" when none is near."""
        if word in self.right or len(word) < SHORTEST or any(c.isdigit() for c in word):
            return word
        if word not in self.met:
            self.met[word] = self._nearest(word)
        return self.met[word]

    def _nearest(self, word: str) -> str:
        mine = grams(word)
        shared: Counter[int] = Counter()
        for gram in mine:
            shared.update(self.by_gram.get(gram, ()))
        best, most = "", (0, 0.0)
        allowed = 1 if len(word) < 7 else 2
        for number in sorted(shared):
            other = self.known[number]
            alike = 2 * shared[number] / (len(mine) + self.size[number])
            short = len(other) < SHORTEST and not word.startswith(other)  # "gass" may be "gas", "tail" no "tap"
            if alike < SHARED or short or abs(len(other) - len(word)) > allowed:
                continue
            apart = distance(word, other, allowed)
            if apart <= allowed and (-apart, alike) > (most if best else (-allowed - 1, 0.0)):
                best, most = other, (-apart, alike)
        return best


def distance(one: str, other: str, allowed: int) -> int:
    """Letters left out, put in, changed or swapped with a neighbour, at most allowed + 1."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        older, before, row = before, row, [i]
        for j, second in enumerate(other, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != second))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == second:
                cost = min(cost, older[j - 2] + 1)
            row.append(cost)
        if min(row) > allowed:
            return allowed + 1
    return row[-1]
