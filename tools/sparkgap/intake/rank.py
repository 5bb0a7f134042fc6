"""Ranking: danger first, then what is refused, then symptoms by score, then the facts that the words hold."""

from __future__ import annotations

import math
from typing import Any

from .danger import Watch
from .expressions import Finder
from .features import FINE, Language, clause_states, features, is_pair
from .index import PART, WEIGHT
from .numbers import facts, plate
from .words import Said

BEST = 0.95  # what the nearest phrase weighs beside all texts of a symptom together; judged
LEAST = 0.66  # with a best score below this nothing fits; judged
BEHIND = 0.3  # a score below this is not worth a look, whatever the best is; judged
FOREIGN, BESIDE = 0.4, 0.5  # what another system's word leaves of a score, when its own is unnamed, named; judged
SOURCES = ("gas", "electric")  # "the electric side of the heater works": the side is sound, the heater is what is meant
UNKNOWN = (WEIGHT, (), ())  # what a feature has of which no symptom speaks: it is as rare as can be
REASONS, MOST = 5, 20  # so many reasons, so many symptoms are told


Once = dict[str, tuple[float, int, int]]  # a feature's weight, its first word, the word after its last
Named = dict[str, frozenset[str]]  # an expression, and the systems that it may mean


class Ranker:
    """An index made ready: the same one serves any number of complaints."""

    def __init__(self, index: dict[str, Any]) -> None:
        self.index = index
        self.watch = Watch(index)
        concepts, terms = index["concepts"], index["terms"]
        self.systems = {e: frozenset(s["id"] for s in index["systems"] if e in s["names"])
                        for one in index["systems"] for e in one["names"]}
        self.naming = Finder(self.systems)
        known = {word for e in (*concepts, *self.systems) for word in e.split(" ")} | self.watch.words
        known |= {feature for feature in terms if " " not in feature and not is_pair(feature)}
        self.language = Language(concepts, sorted(known), index["common"])
        self.speaking = {e: self._speaking(e) for e in self.systems}

    def _speaking(self, expression: str) -> set[int]:
        """The symptoms whose own texts speak of what an expression names."""
        concepts, terms = self.index["concepts"], self.index["terms"]
        names = [concepts[expression]] if expression in concepts else expression.split(" ")
        return set.intersection(*(set(terms[name][1][::2]) if name in terms else set() for name in names))

    def intake(self, text: str) -> dict[str, Any]:
        """{"emergencies": [...], "refusals": [...], "symptoms": [...], "systems": [...], "facts": [...], ...}."""
        said, stems = self.language.read(text)
        places = self.watch.finder.find(stems)
        emergencies = [{"id": name, **self._shown("emergencies", name, "title", "now", "call", "before"),
                        "because": because, "url": f"kb/stop.html#emergency-{name}"}
                       for name, because in self.watch.heard("emergencies", said, places).items()]
        refusals = [{"id": name, **self._shown("refusals", name, "title", "why", "instead"),
                     "because": because, "url": f"kb/refusals.html#refusal-{name}"}
                    for name, because in self.watch.heard("refusals", said, places).items()]
        named = self._named(said, stems)
        symptoms = self._symptoms(said, stems, named)
        found = facts(text)
        return {"complaint": text, "emergencies": emergencies, "refusals": refusals, "symptoms": symptoms,
                "systems": [] if symptoms else self._systems(named), "facts": found,
                "plate": plate(found, self.index["plate"])}

    def _shown(self, kind: str, name: str, *keys: str) -> dict[str, Any]:
        one = self.index[kind][name]
        return {key: one[key] for key in keys}

    def _symptoms(self, said: list[Said], stems: list[str], named: Named) -> list[dict[str, Any]]:
        found = features(self.language.terms(said, stems))
        once: Once = {}
        for feature, part, first, last in found:
            if feature not in once or part > once[feature][0]:
                once[feature] = (part, first, last)
        nearest = self._nearest(once)
        scores = {number: BEST * alike for number, alike in nearest.items()}
        for feature, (part, _, _) in once.items():
            postings = self.index["terms"].get(feature, UNKNOWN)[1]
            for at in range(0, len(postings), 2):
                scores[postings[at]] = scores.get(postings[at], 0.0) + part * postings[at + 1] / WEIGHT
        for number in scores:
            scores[number] *= self._at_home(number, named, nearest.get(number, 0.0))
        names = self.index["symptoms"]
        best = sorted((number for number, score in scores.items() if score >= BEHIND),
                      key=lambda number: (-scores[number], names[number]["id"]))[:MOST]
        if not best or scores[best[0]] < LEAST:
            return []
        spoken = self._spoken(once, best)
        return [{**{key: names[number][key] for key in ("id", "title", "url")}, "score": scores[number],
                 "because": _reasons(spoken[number], said)} for number in best]

    def _spoken(self, once: Once, best: list[int]) -> dict[int, list[tuple[float, int, int]]]:
        """For each of the best symptoms what the words add to it, and which they are."""
        spoken: dict[int, list[tuple[float, int, int]]] = {number: [] for number in best}
        for feature, (part, first, last) in once.items():
            postings = self.index["terms"].get(feature, UNKNOWN)[1]
            for at in range(0, len(postings), 2):
                if postings[at] in spoken:
                    spoken[postings[at]].append((-part * postings[at + 1] / WEIGHT, first, last))
        return spoken

    def _nearest(self, once: Once) -> dict[int, float]:
        """For each symptom how alike its nearest phrase is: the cosine of the two."""
        alike: dict[int, float] = {}
        length = 0.0
        for feature, (part, _, _) in once.items():
            if is_pair(feature):
                continue
            rare, _, postings = self.index["terms"].get(feature, UNKNOWN)
            mine = part * rare / WEIGHT
            length += mine * mine
            for at in range(0, len(postings), 2):
                alike[postings[at]] = alike.get(postings[at], 0.0) + mine * postings[at + 1] / PART
        best: dict[int, float] = {}
        for phrase, share in alike.items():
            number = self.index["said"][phrase]
            best[number] = max(best.get(number, 0.0), share / math.sqrt(length))
        return best

    def _named(self, said: list[Said], stems: list[str]) -> Named:
        """The expressions that name a system, with their systems.

        What is said to be sound is not meant, unless it is all that is named and only a source of it is sound. A part
        that several systems have, such as a burner, goes with the appliance that is named beside it.
        """
        states, places = clause_states(said), self.naming.find(stems)
        meant = {e for e, here in places.items() if any(states[at] != FINE for at, _ in here)}
        if not meant:
            sided = self._clauses_of_sources(said, stems)
            meant = {e for e, here in places.items() if any(said[at].clause in sided for at, _ in here)}
        sure = {system for e in meant if len(self.systems[e]) == 1 for system in self.systems[e]}
        return {e: self.systems[e] for e in meant if len(self.systems[e]) == 1 or not sure & self.systems[e]}

    def _clauses_of_sources(self, said: list[Said], stems: list[str]) -> set[int]:
        """The clauses that speak of gas or of electricity."""
        concepts = self.language.concepts
        return {said[at].clause for e, here in self.language.finder.find(stems).items() if concepts[e] in SOURCES
                for at, _ in here}

    def _at_home(self, number: int, named: Named, alike: float) -> float:
        """What is left of a score when the words name things of another system: all, when they are its own phrase."""
        left, fourth = self._left(number, named), (alike * alike) * (alike * alike)
        return left + (1 - left) * (fourth * fourth)  # a steep curve: half of a phrase is worth nothing here

    def _left(self, number: int, named: Named) -> float:
        own, every = self.index["symptoms"][number]["system"], frozenset().union(*named.values())
        spoken = all(own in systems or number in self.speaking[e] for e, systems in named.items())
        if own in every or not named:
            return 1.0 if spoken else BESIDE
        if not spoken:
            return FOREIGN
        return 1.0 if len(set(named.values())) > 1 else BESIDE  # one thing alone is its own system's

    def _systems(self, named: Named) -> list[dict[str, Any]]:
        """The systems to go by when nothing fits: those that are named first, the others if they have symptoms."""
        meant = frozenset().union(*named.values())
        held = [{key: one[key] for key in ("id", "title", "symptoms")} for one in self.index["systems"]
                if one["symptoms"] or one["id"] in meant]
        return sorted(held, key=lambda one: one["id"] not in meant)


def _reasons(spoken: list[tuple[float, int, int]], said: list[Said]) -> list[str]:
    """The words of the complaint that speak most for a symptom, in their order."""
    places = list(dict.fromkeys((first, last) for _, first, last in sorted(spoken)))[:REASONS]
    return list(dict.fromkeys(" ".join(one.word for one in said[first:last]) for first, last in sorted(places)))


def intake(text: str, index: dict[str, Any]) -> dict[str, Any]:
    """One complaint against an index; scores descend. For several, make one Ranker."""
    return Ranker(index).intake(text)
