"""The index that ranks complaints: a plain JSON value, read by Python and by the browser."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

from ..knowledge.model import Emergency, Knowledge, Symptom
from .words import terms

# Judged (memory): an owner's phrase says more than a title, a title more than the causes' names.
PHRASE, TITLE, FAULT = 1.0, 0.8, 0.25
PAIR = 1.5  # two neighbouring words of a phrase, found together


def build_index(knowledge: Knowledge) -> dict[str, Any]:
    """The index of all symptoms and emergencies."""
    weights = {name: _weights(symptom, knowledge) for name, symptom in sorted(knowledge.symptoms.items())}
    common = Counter(term for s in knowledge.symptoms.values() for text in (*s.phrases, s.title)
                     for term in set(terms(text)))
    spread = Counter(term for one in weights.values() for term in one)
    postings: dict[str, dict[str, float]] = {}
    for name, one in weights.items():
        for term, weight in one.items():
            rare = math.log(1 + len(weights) / spread[term])
            postings.setdefault(term, {})[name] = round(weight * rare, 6)
    return {
        "terms": dict(sorted(postings.items())),
        "symptoms": {name: {"title": s.title, "system": s.system, "url": f"kb/symptoms/{s.system}/{name}.html"}
                     for name, s in sorted(knowledge.symptoms.items())},
        "emergencies": {name: {"title": e.title, "now": list(e.now), "call": e.call,
                               "phrases": _phrases(e, common)}
                        for name, e in sorted(knowledge.emergencies.items())},
    }


def _phrases(emergency: Emergency, common: Counter[str]) -> list[dict[str, Any]]:
    """Each phrase with its terms and their weights: a word that many complaints have weighs little for danger."""
    cut = {phrase: dict.fromkeys(terms(phrase)) for phrase in emergency.phrases}
    return [{"said": phrase, "terms": [[term, round(1 / (1 + common[term]), 6)] for term in one]}
            for phrase, one in cut.items() if one]


def _weights(symptom: Symptom, knowledge: Knowledge) -> dict[str, float]:
    found: dict[str, float] = {}
    texts = [(phrase, PHRASE) for phrase in symptom.phrases] + [(symptom.title, TITLE)]
    texts += [(knowledge.faults[fault].title, FAULT) for fault in symptom.faults if fault in knowledge.faults]
    counts: Counter[str] = Counter()
    for text, weight in texts:
        cut = terms(text)
        pairs = [f"{a} {b}" for a, b in zip(cut, cut[1:], strict=False)] if weight >= TITLE else []
        for term, factor in [(t, 1.0) for t in set(cut)] + [(p, PAIR) for p in set(pairs)]:
            counts[term] += weight
            found[term] = factor
    # The fifth phrase with the same word adds less than the first.
    return {term: factor * math.log(1 + counts[term]) for term, factor in found.items()}
