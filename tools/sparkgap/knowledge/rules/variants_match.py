"""Of a tolerance's variants and of a part's items exactly one matches each shipped unit that it applies to."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..acts import Procedure
from ..conditions import holds
from ..entities import Unit
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code variant-match."""
    for procedure in knowledge.procedures.values():
        units = [u for u in knowledge.units.values() if holds(procedure.applies_to, u.plate) is not False]
        yield from _tolerances(procedure, units)


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
