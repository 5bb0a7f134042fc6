"""A compiled symptom, narrowed to one unit by its data plate.

What surely does not apply drops out, what may apply stays in, and the plate values that would decide it are
named in ``missing``, the one for which most things wait in ``ask_first``. Weights become a prior that sums to
one, minutes that depend on the plate become numbers.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping

NORMAL = "normal"
OTHER = "other"
_SAME = 1e-9

Plate = Mapping[str, float | str]
Calculators = Mapping[str, Callable[[Plate], Mapping[str, float] | None]]


def specialise(model: Mapping, plate: Plate, calculators: Calculators | None = None) -> dict:
    """The symptom of this unit: hypotheses, prior, checks, remedies with numbers in place of conditions.

    ``plate`` maps plate ids to a choice or an SI magnitude. ``calculators`` maps an id to a function from the
    plate to outputs in SI (minutes are asked for in seconds), or to None when it lacks a plate value; then
    the typical minutes count. The result is plain data, the input of the belief and the plan.
    """
    missing: Counter[str] = Counter()
    constants = model["constants"]
    faults = [f for f in model["faults"] if applies(f.get("when"), plate, missing) is not False]
    faults = sorted(faults, key=lambda f: f["id"])
    prior = _prior(model["weights"], faults)
    minutes = _Minutes(plate, calculators or {}, missing)
    checks = [
        _check(c, prior, minutes, plate, missing)
        for c in sorted(model["checks"], key=lambda c: c["id"])
        if applies(c.get("when"), plate, missing) is not False and (c["first"] or _speaks(c, prior))
    ]
    remedies = [
        _remedy(r, prior, minutes, constants, plate, missing)
        for r in sorted(model["remedies"], key=lambda r: r["id"])
        if any(fault in prior for fault in r["ends"]) and applies(r.get("when"), plate, missing) is not False
    ]
    return {
        "symptom": model["symptom"],
        "title": model.get("title", model["symptom"]),
        "constants": dict(constants),
        "hypotheses": sorted(prior),
        "prior": prior,
        "faults": faults,
        "checks": checks,
        "remedies": remedies,
        "access": dict(model["access"]),
        "missing": sorted(missing),
        "ask_first": min(missing, key=lambda name: (-missing[name], name), default=None),
    }


def applies(conditions: list | None, plate: Plate, missing: Counter[str]) -> bool | None:
    """Whether all conditions hold: True, False, or None for want of plate values, added to ``missing``."""
    unknown = []
    for condition in conditions or []:
        value = plate.get(condition["name"])
        if value is None:
            unknown.append(condition["name"])
        elif not _holds(condition, value):
            return False
    missing.update(unknown)
    return None if unknown else True


def _holds(condition: Mapping, value: float | str) -> bool:
    if "any" in condition:
        return any(_equal(value, allowed) for allowed in condition["any"])
    low, high = condition.get("low"), condition.get("high")
    if low is not None and value < low and not _equal(value, low):
        return False
    return high is None or (value < high and not _equal(value, high))


def _equal(value: float | str, other: float | str) -> bool:
    if isinstance(value, str) or isinstance(other, str):
        return value == other
    return abs(value - other) <= _SAME * max(abs(value), abs(other))


def _prior(weights: Mapping, faults: list[Mapping]) -> dict[str, float]:
    rest = 1.0 - weights["normal"] - weights["other"]
    total = 0.0
    for fault in faults:
        total += fault["weight"]
    prior = {NORMAL: weights["normal"], OTHER: weights["other"]}
    for fault in faults:
        prior[fault["id"]] = rest * fault["weight"] / total if total > 0.0 else rest / len(faults)
    return prior


def _speaks(check: Mapping, prior: Mapping) -> bool:
    return any(name in prior for name in check["rows"])


class _Minutes:
    """Minutes that are a number, or a calculator's output in seconds with something added."""

    def __init__(self, plate: Plate, calculators: Calculators, missing: Counter[str]) -> None:
        self._plate = plate
        self._calculators = calculators
        self._missing = missing

    def resolve(self, stated: float | Mapping) -> float:
        if not isinstance(stated, Mapping):
            return float(stated)
        lacking = [name for name in stated.get("needs", []) if self._plate.get(name) is None]
        self._missing.update(lacking)
        seconds = None if lacking else self._run(stated["calculator"], stated["output"])
        if seconds is None:
            return float(stated["typical"])
        return seconds / 60.0 + stated.get("plus", 0.0)

    def _run(self, calculator: str, output: str) -> float | None:
        function = self._calculators.get(calculator)
        if function is None:
            return None
        try:
            seconds = (function(self._plate) or {}).get(output)
        except (ArithmeticError, LookupError, ValueError):
            return None
        return seconds if seconds is not None and math.isfinite(seconds) and seconds >= 0.0 else None


def _check(check: Mapping, prior: Mapping, minutes: _Minutes, plate: Plate, missing: Counter[str]) -> dict:
    rows = {name: row for name, row in check["rows"].items() if name == "*" or name in prior}
    measure = _measure(check.get("measure"), plate, missing)
    safety = measure is not None and (
        bool(measure.get("safety")) or any(limit.get("safety") for limit in measure["limits"])
    )
    return {
        **check,
        "minutes": minutes.resolve(check["minutes"]),
        "rows": rows,
        "measure": measure,
        "safety": safety,
    }


def _measure(measure: Mapping | None, plate: Plate, missing: Counter[str]) -> dict | None:
    """The measure with its limits narrowed; ``band`` is the one that surely holds, or None to judge none."""
    if measure is None:
        return None
    states = [(limit, applies(limit.get("when"), plate, missing)) for limit in measure["limits"]]
    possible = [limit for limit, holds in states if holds is not False]
    sure = len(possible) == 1 and all(holds is not None for _, holds in states)
    return {**measure, "limits": possible, "band": possible[0] if sure else None}


def _remedy(
    remedy: Mapping, prior: Mapping, minutes: _Minutes, constants: Mapping, plate: Plate, missing: Counter[str]
) -> dict:
    usd, wait, fits = _price(remedy.get("price"), constants, plate, missing)
    return {
        **remedy,
        "ends": [fault for fault in sorted(remedy["ends"]) if fault in prior],
        "minutes": minutes.resolve(remedy["minutes"]),
        "proof_minutes": minutes.resolve(remedy["proof_minutes"]),
        "usd": usd,
        "wait_minutes": wait,
        "part_minutes": usd / constants["shop_rate"] * 60.0 + wait,
        "fits": fits,
    }


def _price(
    prices: list | None, constants: Mapping, plate: Plate, missing: Counter[str]
) -> tuple[float, float, bool | None]:
    """US dollars, minutes of waiting and whether a listed part fits (None: that hangs on the plate).

    The first part that surely fits; else the dearest that may fit; else, as a guess for the maker's own part,
    the dearest of all.
    """
    if not prices:
        return 0.0, 0.0, True
    states = [(price, applies(price.get("when"), plate, missing)) for price in prices]
    for price, holds in states:
        if holds:
            return price["usd"], price["wait_minutes"], True
    possible = [price for price, holds in states if holds is None]
    chosen, highest = None, -1.0
    for price in possible or prices:
        cost = price["usd"] / constants["shop_rate"] * 60.0 + price["wait_minutes"]
        if cost > highest:
            chosen, highest = price, cost
    return chosen["usd"], chosen["wait_minutes"], None if possible else False
