"""The index that ranks complaints: a plain JSON value, read by Python and by the browser."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

from ..knowledge.model import Emergency, Knowledge, Refusal, Sign, Symptom
from ..names import SYSTEMS, system_title
from . import numbers, words
from .expressions import parse
from .features import PAIR, Language, features, is_pair

# What a text of a symptom weighs; judged on tests/intake/set.yaml: the causes' names say little of what is observed.
PHRASE, TITLE, SUMMARY, FAULT = 1.0, 1.0, 0.8, 0.15
ENOUGH = 4.0  # a feature that weighs this much in a symptom's texts counts half of what it could; judged
WEIGHT, PART = 1000, 100  # in one, of weights and of shares
NEARBY = 4  # so many other words may stand between the words of a danger's phrase; judged


def build_index(knowledge: Knowledge) -> dict[str, Any]:
    """The index of all symptoms, emergencies and refusals."""
    return {**_symptoms(knowledge), **_dangers(knowledge), "words": _lists(), "plate": numbers.offers(knowledge)}


def _lists() -> dict[str, list[str]]:
    """The word lists of the language, so that the browser cuts alike."""
    return {name: sorted(getattr(words, name.upper()))
            for name in ("stop_words", "negations", "denials", "fillers", "carriers", "sound", "turns")}


def _symptoms(knowledge: Knowledge) -> dict[str, Any]:
    concepts = {parse(one): concept for concept, all_ in knowledge.words.synonyms.items() for one in all_}
    language = Language(concepts, [], [])
    order = sorted(knowledge.symptoms)
    texts = [_texts(knowledge.symptoms[name], knowledge, language) for name in order]
    return {
        "symptoms": [{"id": name, "title": s.title, "system": s.system, "url": f"kb/symptoms/{s.system}/{name}.html"}
                     for name, s in ((name, knowledge.symptoms[name]) for name in order)],
        **_postings(texts),
        "concepts": dict(sorted(concepts.items())),
        "systems": [{"id": system, "title": system_title(system),
                     "symptoms": sum(s.system == system for s in knowledge.symptoms.values()),
                     "names": [parse(one) for one in knowledge.words.systems.get(system, ())]} for system in SYSTEMS],
        "common": sorted({words.stem(one) for word in knowledge.words.common for one in words.words(word)}),
    }


Text = tuple[float, dict[str, float]]  # what a text weighs, and the weight of each of its features


def _texts(symptom: Symptom, knowledge: Knowledge, language: Language) -> list[Text]:
    texts = [(phrase, PHRASE) for phrase in symptom.phrases] + [(symptom.title, TITLE), (symptom.summary, SUMMARY)]
    texts += [(knowledge.faults[fault].title, FAULT) for fault in symptom.faults if fault in knowledge.faults]
    found = []
    for text, weight in texts:
        once: dict[str, float] = {}
        for feature, part, _, _ in _features(language, text):
            if weight >= TITLE or not is_pair(feature):  # pairs only of what is said as an owner says it
                once[feature] = max(once.get(feature, 0.0), part)
        found.append((weight, once))
    return found


def _postings(texts: list[list[Text]]) -> dict[str, Any]:
    """For each feature: its rarity, symptoms with its weight in all their texts, phrases with its share in them.

    All three in thousandths and hundredths, as whole numbers, to keep the index small. Rarity is 1 when one symptom
    has it; a share is that of a vector of length one. ``said`` has each phrase's symptom.
    """
    counts = [_counts(one) for one in texts]
    spread = Counter(feature for one in counts for feature in one)
    most = math.log(1 + len(texts))
    rare = {feature: math.log(1 + len(texts) / number) / most for feature, number in spread.items()}
    single = {feature for one in counts for feature, amount in one.items()
              if is_pair(feature) and spread[feature] == 1 and amount <= PAIR}  # said once: chance, and half the index
    terms: dict[str, list[Any]] = {feature: [round(WEIGHT * rare[feature]), [], []]
                                   for feature in sorted(rare.keys() - single)}
    said: list[int] = []
    for number, one in enumerate(texts):
        for feature in counts[number].keys() - single:
            amount = counts[number][feature]
            terms[feature][1] += [number, round(WEIGHT * rare[feature] * amount / (amount + ENOUGH))]
        for weight, features_ in one:
            parts = {f: part * rare[f] for f, part in features_.items() if not is_pair(f)} if weight >= TITLE else {}
            length = math.sqrt(sum(part * part for part in parts.values()))
            for feature, part in parts.items():
                terms[feature][2] += [len(said), round(PART * part / length)]
            if parts:
                said.append(number)
    return {"terms": terms, "said": said}


def _counts(texts: list[Text]) -> dict[str, float]:
    counts: dict[str, float] = {}
    for weight, one in texts:
        for feature, part in one.items():
            counts[feature] = counts.get(feature, 0.0) + weight * part
    return counts


def _features(language: Language, text: str) -> list[tuple[str, float, int, int]]:
    said = words.cut(text)
    return features(language.terms(said, [one.stem for one in said]))


def _dangers(knowledge: Knowledge) -> dict[str, Any]:
    """Emergencies and refusals with their signs, and the groups that these refer to."""
    groups = {**knowledge.words.synonyms, **knowledge.words.groups}
    used: set[str] = set()

    def told(one: Emergency | Refusal) -> list[dict[str, Any]]:
        signs = [_sign(sign, groups, used) for sign in one.signs]
        return [*(phrase for phrase in map(_phrase, one.phrases) if phrase["all"]), *signs]

    emergencies = {name: {"title": e.title, "now": list(e.now), "call": e.call, "before": list(e.before),
                          "signs": told(e)} for name, e in knowledge.emergencies.items()}
    refusals = {name: {"title": r.title, "why": r.why, "instead": list(r.instead), "signs": told(r)}
                for name, r in knowledge.refusals.items()}
    return {"emergencies": emergencies, "refusals": refusals,
            "groups": {name: [parse(one) for one in groups[name]] for name in sorted(used)}}


def _phrase(phrase: str) -> dict[str, Any]:
    """A phrase as a sign: all of its words that say something, near together, in any order."""
    said = words.words(phrase)
    meant: dict[str, None] = {}
    denial = ""
    for word in said:
        if word in words.DENIALS or (denial and word in words.STOP_WORDS):
            denial += words.stem(word) + " "  # "no water" is one thing: water alone would be taken back
        elif word not in words.STOP_WORDS:
            meant[denial + words.stem(word)] = None
            denial = ""
    return {"said": phrase, "all": [[one] for one in meant], "none": [],
            "within": max(len(said), len(meant) + NEARBY)}


def _sign(sign: Sign, groups: dict[str, Any], used: set[str]) -> dict[str, Any]:
    """A sign; a group stays a reference, each group is in the index once."""
    def cut(expressions: tuple[str, ...]) -> list[str]:
        named = [one for one in expressions if one.startswith("@") and one[1:] in groups]
        used.update(one[1:] for one in named)
        return [*named, *(parse(one) for one in expressions if not one.startswith("@") and parse(one))]

    return {"said": "", "all": [cut(group) for group in sign.all], "none": cut(sign.none), "within": sign.within}
