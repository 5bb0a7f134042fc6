"""Ranking: danger first, then symptoms by score, then the facts that the words hold."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from typing import Any

from .numbers import facts
from .words import FILLERS, NEGATIONS, STOP_WORDS, clauses, grams, stem, words

NEAR = 0.6  # how alike (Dice over letter pairs) an unknown word must be to a known one; judged
FLOOR = 0.8  # a score below this is no match; judged
GAP = 4  # so many other words may stand between the words of a danger phrase; judged
COVER = 0.8  # so much of a danger phrase's weight must be said; judged, and rather too little than too much


def intake(text: str, index: dict[str, Any]) -> dict[str, Any]:
    """{"emergencies": [...], "symptoms": [{id, title, score, because}], "facts": [...]}; scores descend."""
    cut = [stem(word) for word in words(text) if word not in STOP_WORDS]
    return {
        "complaint": text,
        "emergencies": _emergencies(clauses(text), index),
        "symptoms": _symptoms(cut, index),
        "facts": facts(text),
    }


def _symptoms(cut: list[str], index: dict[str, Any]) -> list[dict[str, Any]]:
    known = index["terms"]
    spelled = _all_spelled(cut, known)
    scores: dict[str, float] = {}
    because: dict[str, list[str]] = {}
    looked = [*dict.fromkeys(w for w, _ in spelled if w), *dict.fromkeys(_pairs(spelled))]
    alike = dict(spelled)
    for term in looked:
        for symptom, weight in known.get(term, {}).items():
            scores[symptom] = scores.get(symptom, 0.0) + weight * alike.get(term, 1.0)
            because.setdefault(symptom, []).append(term)
    ranked = sorted(scores, key=lambda name: (-scores[name], name))
    return [{"id": name, "title": index["symptoms"][name]["title"], "url": index["symptoms"][name]["url"],
             "score": scores[name], "because": because[name]}
            for name in ranked if scores[name] >= FLOOR]


def _pairs(spelled: list[tuple[str, float]]) -> list[str]:
    return [f"{a} {b}" for (a, _), (b, _) in zip(spelled, spelled[1:], strict=False)]


def _all_spelled(cut: list[str], known: Collection[str]) -> list[tuple[str, float]]:
    """Each word as the known term that it means; a word is looked up once however often it is said."""
    letters = {term: _letters(term) for term in known if " " not in term}
    meant: dict[str, tuple[str, float]] = {}
    for word in cut:
        if word not in meant:
            meant[word] = _spelled(word, letters)
    return [meant[word] for word in cut]


@lru_cache(maxsize=20_000)
def _letters(term: str) -> frozenset[str]:
    return frozenset(grams(term))


def _spelled(word: str, letters: dict[str, frozenset[str]]) -> tuple[str, float]:
    """The known term that a word means, and how alike the two are; ("", 0) when none is near."""
    if word in letters or len(word) < 4:
        return word, 1.0
    mine, best, share = grams(word), "", 0.0
    for term, theirs in letters.items():
        if abs(len(term) - len(word)) > 2:
            continue
        common = 0
        for gram in mine:
            common += gram in theirs
        alike = 2 * common / (len(mine) + len(theirs))
        if alike >= NEAR and (alike > share or (alike == share and term < best)):
            best, share = term, alike
    return best, share


def _emergencies(parts: list[list[str]], index: dict[str, Any]) -> list[dict[str, Any]]:
    cut = [stem(word) for part in parts for word in part]
    denied = [yes for part in parts for yes in _denied(part)]
    dangers = index["emergencies"]
    heard = _heard(cut, index)
    found = []
    for name, one in dangers.items():
        phrase = next((p for p in one["phrases"] if _said(p["terms"], heard, denied)), None)
        if phrase:
            found.append({"id": name, "title": one["title"], "now": one["now"], "call": one["call"],
                          "because": phrase["said"], "url": f"kb/stop.html#emergency-{name}"})
    return found


def _heard(cut: list[str], index: dict[str, Any]) -> list[str]:
    """The words, those that are in no list respelled as the danger word that they are near."""
    known = dict.fromkeys(t for one in index["emergencies"].values() for p in one["phrases"] for t, _ in p["terms"])
    strange = [word for word in cut if word not in known and word not in index["terms"]]
    meant = dict(zip(strange, _all_spelled(strange, known), strict=True))
    return [meant[word][0] or word if word in meant else word for word in cut]


def _denied(part: list[str]) -> list[bool]:
    """For each word of a clause whether it is denied: "no smell", "isn't any smell"."""
    result, negated = [], False
    for word in part:
        result.append(negated)
        negated = word in NEGATIONS or (negated and word in FILLERS)
    return result


def _said(phrase: list[list[Any]], heard: list[str], denied: list[bool]) -> bool:
    """Whether enough of a phrase is said, near together, in any order, and not denied just before."""
    whole = 0.0
    for _, weight in phrase:
        whole += weight
    reach = len(phrase) + GAP
    for start, word in enumerate(heard):
        if denied[start] or not any(word == term for term, _ in phrase):
            continue
        nearby = heard[start:start + reach]
        said, count = 0.0, 0
        for term, weight in phrase:
            if term in nearby:
                said, count = said + weight, count + 1
        if count >= min(2, len(phrase)) and said >= COVER * whole:
            return True
    return False
