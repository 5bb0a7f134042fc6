"""Ranking: danger first, then symptoms by score, then the facts that the words hold."""

from __future__ import annotations

from typing import Any

from .numbers import facts
from .words import NEGATIONS, STOP_WORDS, grams, stem, words

NEAR = 0.6  # how alike (Dice over letter pairs) an unknown word must be to a known one; judged
FLOOR = 0.8  # a score below this is no match; judged
GAP = 4  # so many other words may stand between the words of a danger phrase; judged


def intake(text: str, index: dict[str, Any]) -> dict[str, Any]:
    """{"emergencies": [...], "symptoms": [{id, title, score, because}], "facts": [...]}; scores descend."""
    cut = [stem(word) for word in words(text) if word not in STOP_WORDS]
    return {
        "complaint": text,
        "emergencies": _emergencies(words(text), index),
        "symptoms": _symptoms(cut, index),
        "facts": facts(text),
    }


def _symptoms(cut: list[str], index: dict[str, Any]) -> list[dict[str, Any]]:
    known = index["terms"]
    spelled = [_spelled(word, known) for word in cut]
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


def _spelled(word: str, known: dict[str, Any]) -> tuple[str, float]:
    """The known term that a word means, and how alike the two are; ("", 0) when none is near."""
    if word in known or len(word) < 4:
        return word, 1.0
    mine, best, share = grams(word), "", 0.0
    for term in known:
        if " " in term or abs(len(term) - len(word)) > 2:
            continue
        theirs = grams(term)
        common = 0
        for gram in mine:
            common += gram in theirs
        alike = 2 * common / (len(mine) + len(theirs))
        if alike >= NEAR and alike > share:
            best, share = term, alike
    return best, share


def _emergencies(cut: list[str], index: dict[str, Any]) -> list[dict[str, Any]]:
    found = []
    for name, one in index["emergencies"].items():
        phrase = next((p for p in one["phrases"] if _said(p, cut)), None)
        if phrase:
            found.append({"id": name, "title": one["title"], "now": one["now"], "call": one["call"],
                          "because": " ".join(phrase), "url": f"kb/stop.html#emergency-{name}"})
    return found


def _said(phrase: list[str], cut: list[str]) -> bool:
    """Whether the words of a phrase stand in the text in order, near each other, and are not denied just before."""
    stems = [stem(word) for word in cut]
    return any(_from(phrase, stems, cut, start) for start, word in enumerate(stems) if word == phrase[0])


def _from(phrase: list[str], stems: list[str], cut: list[str], start: int) -> bool:
    at = start
    for word in phrase[1:]:
        nearby = stems[at + 1:at + 2 + GAP]
        if word not in nearby:
            return False
        at += 1 + nearby.index(word)
    return not any(word in NEGATIONS for word in cut[max(0, start - 2):start])
