"""Findings that do not go together: one of them is wrong, or two faults are present."""

from __future__ import annotations

import math
from collections.abc import Mapping

from .belief import context, failed_remedies, findings, joint, replaced_weights, row, survives, weigh
from .specialise import NORMAL, OTHER

_TIE = 1e-9


def conflict(sm: Mapping, evidence: Mapping) -> dict | None:
    """The conflict measure Σ ln P(eᵢ) − ln P(e) and the least fitting finding, or None below its threshold.

    The least fitting finding is the one with the smallest ln P(e) − ln P(e without it) − ln P(it), ties by
    id. Probabilities are taken given what has been done to the unit.
    """
    base = context(sm, evidence)
    found = findings(sm, evidence)
    whole = _total(sm, base)
    if len(found) < 2 or whole <= 0.0:
        return None
    names = sm["hypotheses"]
    factors = [[weigh(weighted, row(check, name)) for name in names] for check, weighted in found]
    together = _probability(sm, base, factors, None) / whole
    if together <= 0.0:
        return None
    alone = [_probability(sm, base, [factor], None) / whole for factor in factors]
    score = -math.log(together)
    for probability in alone:
        score += math.log(probability)
    if not score > math.log(sm["constants"]["conflict_ratio"]):
        return None
    least, lowest = None, math.inf
    for index, (check, _) in enumerate(found):
        without = _probability(sm, base, factors, index) / whole
        fit = math.log(together) - math.log(without) - math.log(alone[index])
        if fit < lowest - _TIE:
            least, lowest = check["id"], fit
    return {"score": score, "gid": least}


def _total(sm: Mapping, weights: Mapping[str, float]) -> float:
    total = 0.0
    for name in sm["hypotheses"]:
        total += weights[name]
    return total


def _probability(sm: Mapping, base: Mapping, factors: list[list[float]], skip: int | None) -> float:
    total = 0.0
    for position, name in enumerate(sm["hypotheses"]):
        product = base[name]
        for index, factor in enumerate(factors):
            if index != skip:
                product *= factor[position]
        total += product
    return total


def two_faults(sm: Mapping, evidence: Mapping) -> dict | None:
    """Whether two faults at once explain the findings better than any one: the ratio and the likeliest pair.

    None unless two_faults·Σ over pairs of wᵢ·wⱼ·Lᵢⱼ exceeds Σ over hypotheses of w·L.
    """
    single = 0.0
    for value in joint(sm, evidence).values():
        single += value
    weights = replaced_weights(sm, evidence)
    faults = [name for name in sm["hypotheses"] if name not in (NORMAL, OTHER)]
    found = findings(sm, evidence)
    failed = failed_remedies(sm, evidence)
    total, best, pair = 0.0, 0.0, None
    for i, first in enumerate(faults):
        for second in faults[i + 1 :]:
            value = weights[first] * weights[second] * _pair_likelihood(found, failed, first, second)
            total += value
            if value > best * (1.0 + _TIE):
                best, pair = value, [first, second]
    total *= sm["constants"]["two_faults"]
    if pair is None or single <= 0.0 or total <= single:
        return None
    return {"ratio": total / single, "pair": pair}


def _pair_likelihood(found: list, failed: list, first: str, second: str) -> float:
    product = 1.0
    for remedy in failed:  # the unit goes on failing when either fault outlasts the remedy
        product *= max(survives(remedy, first), survives(remedy, second)) * (1.0 - remedy["misses"])
    for check, weighted in found:
        product *= weigh(weighted, pair_row(check, first, second))
    return product


def pair_row(check: Mapping, first: str, second: str) -> list[float]:
    """P(answer | both faults): each fault may spoil the clear answer, the others share the rest."""
    one, two, base = row(check, first), row(check, second), row(check, "*")
    clear = check["answers"].index(check["clear"])
    sound = min(one[clear], two[clear])
    if base[clear] > 0.0:
        sound = min(sound, one[clear] * two[clear] / base[clear])
    weight = 0.0
    for answer in range(len(one)):
        if answer != clear:
            weight += one[answer] + two[answer]
    rest = 1.0 - sound
    return [
        sound
        if answer == clear
        else (rest * (one[answer] + two[answer]) / weight if weight > 0.0 else rest / (len(one) - 1))
        for answer in range(len(one))
    ]
