"""No chain of references comes back to itself: accesses inside each other, causes of faults, included symptoms."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ...problems import Problem
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code cycle, one a ring, at its first id."""
    yield from _rings(knowledge.access, lambda one: [one.inside], "accesses", "inside")
    yield from _rings(knowledge.faults, lambda one: list(one.caused_by), "faults", "caused_by")
    yield from _rings(knowledge.symptoms, lambda one: list(one.also), "symptoms", "also")


def _rings(entities: dict, onward: Callable, what: str, key: str) -> Iterator[Problem]:
    done: set[str] = set()
    for start in sorted(entities):
        ring = _ring(start, entities, onward)
        if ring and not done & set(ring):
            done |= set(ring)
            yield Problem.at(entities[start].at(key), "cycle", f"{what} lead in a ring: {' → '.join([*ring, ring[0]])}",
                             "take one of the links out")


def _ring(start: str, entities: dict, onward: Callable) -> list[str]:
    """The way from start back to start, or nothing."""
    stack, seen = [[start]], set()
    while stack:
        way = stack.pop()
        for step in onward(entities[way[-1]]):
            if step == start:
                return way
            if step in entities and step not in seen:
                seen.add(step)
                stack.append([*way, step])
    return []
