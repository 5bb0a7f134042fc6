"""Every @group that a sign names is declared in kb/words.yaml, and an expression there means one thing."""

from __future__ import annotations

from collections.abc import Iterator

from ...names import offer
from ...problems import Problem
from ..entities import Emergency, Refusal
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes unknown-reference and id-duplicate."""
    if "words" not in knowledge.hidden:
        for entity in (*knowledge.emergencies.values(), *knowledge.refusals.values()):
            yield from _references(knowledge, entity)
    yield from _doubles(knowledge)


def _references(knowledge: Knowledge, entity: Emergency | Refusal) -> Iterator[Problem]:
    known = {**knowledge.words.groups, **knowledge.words.synonyms}
    for number, sign in enumerate(entity.signs):
        lists = [(("all", at), group) for at, group in enumerate(sign.all)] + [(("none",), sign.none)]
        for path, expressions in lists:
            for index, one in enumerate(expressions):
                if one.startswith("@") and one[1:] not in known:
                    yield Problem.at(entity.at("signs", number, *path, index), "unknown-reference",
                                     f"there is no group {one[1:]!r}", offer(one[1:], known))


def _doubles(knowledge: Knowledge) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for concept, expressions in knowledge.words.synonyms.items():
        for index, one in enumerate(expressions):
            first = seen.setdefault(one.lower(), concept)
            if first != concept:
                place = knowledge.words.places[("synonyms", concept, index)]
                yield Problem.at(place, "id-duplicate", f"{one!r} already means {first}", "leave it in one of the two")
