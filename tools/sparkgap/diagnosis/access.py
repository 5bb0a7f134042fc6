"""What stands open on the unit, and what it takes to open and close it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


class Site:
    """One set of open accesses. ``close`` is what closing them all costs, in minutes.

    ``steps`` is room to remember what each act costs from here and where it leads.
    """

    __slots__ = ("open", "close", "steps")

    def __init__(self, opened: frozenset[str], close: float) -> None:
        self.open = opened
        self.close = close
        self.steps: dict[str, tuple[float, Site]] = {}


class Accesses:
    """The accesses of a symptom. Equal sets of open accesses are one and the same `Site`."""

    def __init__(self, sm: Mapping) -> None:
        self._minutes = sm["access"]
        self._inside = _inside(sm)
        self._sites: dict[frozenset[str], Site] = {}

    def site(self, opened: Iterable[str]) -> Site:
        """The site with these accesses open; unknown ones are ignored."""
        key = frozenset(name for name in opened if name in self._minutes)
        if key not in self._sites:
            close = 0.0
            for name in sorted(key):
                close += self._minutes[name]["close"]
            self._sites[key] = Site(key, close)
        return self._sites[key]

    def move(self, site: Site, closes: list[str], chain: list[str]) -> tuple[float, Site]:
        """Minutes to close ``closes`` with all inside them and then open ``chain``, and where that leads."""
        closed = {name for name in site.open if name in closes or not self._inside[name].isdisjoint(closes)}
        cost = 0.0
        for name in sorted(closed):
            cost += self._minutes[name]["close"]
        left = set(site.open) - closed
        for name in chain:
            if name not in left:
                cost += self._minutes[name]["open"]
                left.add(name)
        return cost, self.site(left)


def _inside(sm: Mapping) -> dict[str, set[str]]:
    """For each access the ones it lies inside of: as stated, and read off the chains (outermost first)."""
    chains = [act["access"] for act in (*sm["checks"], *sm["remedies"])]
    chains += [remedy.get("proof_access") or [] for remedy in sm["remedies"]]
    outer: dict[str, set[str]] = {name: _around(sm["access"], name) for name in sm["access"]}
    for chain in chains:
        for position, name in enumerate(chain):
            outer[name].update(chain[:position])
    return outer


def _around(access: Mapping, name: str) -> set[str]:
    around: set[str] = set()
    outer = access[name].get("inside")
    while outer and outer in access and outer not in around:
        around.add(outer)
        outer = access[outer].get("inside")
    return around
