"""Exactly one variant of a tolerance matches each shipped unit that it applies to, and at most one item of a part."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..acts import Procedure
from ..conditions import holds
from ..entities import Part, Unit
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code variant-match."""
    if "kb/plate.yaml" in knowledge.dropped:
        return  # conditions and units could not be read
    for part in knowledge.parts.values():
        yield from _items(part, knowledge)
    for procedure in knowledge.procedures.values():
        units = [u for u in knowledge.units.values() if holds(procedure.applies_to, u.plate) is not False]
        yield from _tolerances(procedure, units)


def _items(part: Part, knowledge: Knowledge) -> Iterator[Problem]:
    """No item for a unit is sound: the maker's part is required. Two would leave the choice to chance."""
    for unit in knowledge.units.values():
        fitting = [fit.item for fit in part.fits if holds(fit.when, unit.plate)]
        if len(fitting) > 1:
            yield Problem.at(part.at("fits"), "variant-match",
                             f"{len(fitting)} items of the part {part.id} fit the unit {unit.id}: {', '.join(fitting)}",
                             "narrow their when: until one is left")


def _tolerances(procedure: Procedure, units: list[Unit]) -> Iterator[Problem]:
    for tolerance in procedure.tolerances.values():
        if len(tolerance.bands) < 2 and not (tolerance.bands and tolerance.bands[0].when):
            continue
        for unit in units:
            count = sum(1 for band in tolerance.bands if holds(band.when, unit.plate))
            unknown = any(holds(band.when, unit.plate) is None for band in tolerance.bands)
            if count != 1 and not (count == 0 and unknown):
                yield Problem.at(tolerance.place, "variant-match",
                                 f"{count} variants of {tolerance.id} match the unit {unit.id}",
                                 "make exactly one when: match it")
