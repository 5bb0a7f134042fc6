"""What a text says about a symptom: terms, each plain, denied or said to be sound, and neighbouring pairs.

"gas works but not electric" gives gas as sound and electric as denied, so that it fits a symptom whose phrases say
the same and not one that speaks of gas.
"""

from __future__ import annotations

from dataclasses import dataclass

from .expressions import Finder
from .spelling import RESPELLED, Speller
from .words import NEGATIONS, REACH, SOUND, STOP_WORDS, Said, cut

PLAIN, DENIED, FINE = "", "no ", "ok "
# What a term in one of the states says besides its own state; judged.
WEAK = {DENIED: 0.7, FINE: 0.3}
PAIR = 0.28  # two neighbours; judged


@dataclass(frozen=True)
class Term:
    """A word or a concept: its name and state, how surely it was read, the words that it stands for."""

    name: str
    state: str
    sure: float
    first: int
    last: int
    clause: int


class Language:
    """The synonyms and the spelling of one knowledge base."""

    def __init__(self, concepts: dict[str, str], known: list[str], common: list[str]) -> None:
        self.concepts = concepts
        self.finder = Finder(concepts)
        self.speller = Speller(known, common)

    def read(self, text: str) -> tuple[list[Said], list[str]]:
        """The words of a text, and their stems as they are meant."""
        said = cut(text)
        return said, [self.speller.meant(one.stem) for one in said]

    def terms(self, said: list[Said], stems: list[str]) -> list[Term]:
        """The terms of a text in order, concepts in the place of their expressions, the longest first."""
        states = clause_states(said)
        starts: dict[int, tuple[int, str]] = {}
        for expression, places in self.finder.find(stems).items():
            for at, end in places:
                starts[at] = max(starts.get(at, (0, "")), (end, self.concepts[expression]))
        found, at = [], 0
        while at < len(said):
            end, name = starts.get(at, (at + 1, stems[at]))
            one = said[at]
            if at in starts or not (one.word in STOP_WORDS or one.word in NEGATIONS or one.word.isdigit() or not name):
                sure = 1.0 if all(s == w.stem for s, w in zip(stems[at:end], said[at:end], strict=True)) else RESPELLED
                found.append(Term(name, states[at], sure, at, end, one.clause))
            at = end
        return found


def clause_states(said: list[Said]) -> list[str]:
    """For each word whether it is denied or said to be sound."""
    sound = {one.clause for one in said if one.word in SOUND} - {one.clause for one in said if one.word in NEGATIONS}
    states, left, clause = [], 0, 0
    for one in said:
        if one.clause != clause:
            left, clause = 0, one.clause
        states.append(DENIED if left else FINE if one.clause in sound else PLAIN)
        if one.word in NEGATIONS:
            left = REACH
        elif left and one.word not in STOP_WORDS:
            left -= 1
    return states


def is_pair(feature: str) -> bool:
    """Whether a feature is two neighbouring terms."""
    return "+" in feature


def features(terms: list[Term]) -> list[tuple[str, float, int, int]]:
    """(feature, weight, first word, word after the last): terms, their states, and pairs within a clause."""
    found = []
    for one in terms:
        if one.state:
            found.append((one.state + one.name, one.sure, one.first, one.last))
        found.append((one.name, one.sure * WEAK.get(one.state, 1.0), one.first, one.last))
    for a, b in zip(terms, terms[1:], strict=False):
        if a.clause == b.clause:
            state = a.state if a.state == b.state else PLAIN
            found.append((f"{state}{a.name}+{b.name}", PAIR * a.sure * b.sure, a.first, b.last))
    return found
