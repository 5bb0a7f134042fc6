"""Fault weights from closed jobs: counts on top of what was judged.

The shares of a symptom's causes have a Dirichlet distribution. Judgement counts like a stated number of jobs
(``learn_prior_jobs``); a job adds one to its cause. A unit that cannot have some of the causes says nothing about
them: its job is taken as the one draw, of those from the whole list, that such a unit could show, and the draws that
it could not show are added in proportion to the shares themselves (expectation maximisation for truncated counts).
The interval of such a cause rests on the jobs only that could have shown it.

Faults that a symptom includes from another one are one cause here, the group; how often each of the group occurs is
learned from that other symptom's own jobs.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from ..diagnosis.compile import compile_symptom
from ..diagnosis.specialise import NORMAL, OTHER, specialise
from ..knowledge import Knowledge
from .learn_beta import share_interval
from .learn_cases import Case

LEVEL = 0.90  # probability of the intervals that are told
MOST = 1000.0  # the schema's greatest weight
_ROUNDS = 20_000
_SETTLED = 1e-13

Key = tuple[str, str]  # ("fault", id), ("also", symptom), ("share", "normal") or ("share", "other")
Shown = tuple[float, ...]  # of each cause the part that a unit can have, in order of the causes
SHARES = (("share", NORMAL), ("share", OTHER))


@dataclass(frozen=True)
class Prior:
    """What was judged of a symptom. ``weights`` as written; ``share`` of each cause on a unit of which nothing is
    known; ``whole`` the part of a cause's weight that such a unit can have."""

    symptom: str
    model: Mapping[str, Any]
    weights: Mapping[Key, float]
    share: Mapping[Key, float]
    whole: Mapping[Key, float]
    jobs: float

    @property
    def causes(self) -> list[Key]:
        """The faults and groups, in order."""
        return sorted(key for key in self.share if key[0] != "share")


@dataclass(frozen=True)
class Row:
    """One cause before and after: shares with their intervals, the weight as written now and as learned."""

    key: Key
    jobs: int
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    weight: float
    learned: float


@dataclass(frozen=True)
class Counts:
    """The jobs of a symptom by cause, and those of a fault by what their units could show."""

    causes: Counter[Key]
    shown: Counter[Shown]

    def without(self, key: Key, shown: Shown) -> Counts:
        """The same with one job fewer."""
        causes, units = Counter(self.causes), Counter(self.shown)
        causes[key] -= 1
        if key[0] != "share":
            units[shown] -= 1
        return Counts(+causes, +units)


def prior_of(knowledge: Knowledge, symptom_id: str) -> Prior:
    """The judged weights of a symptom: those kept from before the first job was counted, or the present ones."""
    model = compile_symptom(knowledge, symptom_id)
    now = weights_now(knowledge, symptom_id)
    judged = {**now, **_kept(knowledge.symptoms[symptom_id].learned.get("judged", {}), now)}
    whole = _parts(model, now)
    total = math.fsum(judged[key] * whole[key] for key in whole)
    rest = 1.0 - judged[SHARES[0]] - judged[SHARES[1]]
    share = {key: judged[key] for key in SHARES}
    share |= {key: rest * judged[key] * whole[key] / total for key in sorted(whole)}
    return Prior(symptom_id, model, judged, share, whole, knowledge.constants["learn_prior_jobs"].amount.si)


def weights_now(knowledge: Knowledge, symptom_id: str) -> dict[Key, float]:
    """The weights of a symptom as they are written, by cause."""
    symptom = knowledge.symptoms[symptom_id]
    stated = {name: symptom.weights.get(name, knowledge.constants[f"weight_{name}"].amount.si)
              for name in (NORMAL, OTHER)}
    return {**{("share", name): value for name, value in stated.items()},
            **{("fault", name): float(weight) for name, weight in symptom.faults.items()},
            **{("also", name): also.weight for name, also in symptom.also.items()}}


def _kept(judged: Mapping[str, Any], now: Mapping[Key, float]) -> dict[Key, float]:
    found = {(kind, name): float(value) for kind, part in (("share", "weights"), ("fault", "faults"), ("also", "also"))
             for name, value in judged.get(part, {}).items()}
    return {key: value for key, value in found.items() if key in now}


def _parts(sized: Mapping[str, Any], weights: Mapping[Key, float]) -> dict[Key, float]:
    """Of each cause the part of its weight that the faults of a compiled or specialised symptom have."""
    sums: dict[Key, float] = {}
    for fault in sized["faults"]:
        key = cause_of(fault)
        sums[key] = sums.get(key, 0.0) + fault["weight"]
    return {key: value / weights[key] for key, value in sums.items()}


def cause_of(fault: Mapping[str, Any]) -> Key:
    """The cause that a compiled fault counts for: itself, or the group that it is included with."""
    return ("also", fault["from"]) if fault["from"] else ("fault", fault["id"])


class Units:
    """What the units of a symptom's jobs can show; equal data plates are looked at once."""

    def __init__(self, knowledge: Knowledge, prior: Prior) -> None:
        self._prior = prior
        self._now = weights_now(knowledge, prior.symptom)
        self._causes = {fault["id"]: cause_of(fault) for fault in prior.model["faults"]}
        self._known: dict[tuple, Shown] = {}

    def cause(self, case: Case) -> Key:
        """The cause that a job counts for."""
        return self._causes.get(case.truth, ("share", case.truth))

    def shown(self, case: Case) -> Shown:
        """Of each cause the part that the unit of a job can have, from 0 to 1."""
        plate = tuple(sorted(case.plate.items()))
        if plate not in self._known:
            parts = _parts(specialise(self._prior.model, case.plate), self._now)
            self._known[plate] = tuple(parts.get(key, 0.0) / self._prior.whole[key] for key in self._prior.causes)
        return self._known[plate]

    def count(self, cases: Iterable[Case]) -> Counts:
        """The jobs by cause and by what their units could show."""
        causes: Counter[Key] = Counter()
        shown: Counter[Shown] = Counter()
        for case in cases:
            key = self.cause(case)
            causes[key] += 1
            if key[0] != "share":
                shown[self.shown(case)] += 1
        return Counts(causes, shown)


def learned_shares(prior: Prior, counts: Counts) -> dict[Key, float]:
    """The mean share of each cause after the jobs, on a unit of which nothing is known."""
    total = prior.jobs + counts.causes.total()
    shares = {key: (prior.jobs * prior.share[key] + counts.causes[key]) / total for key in SHARES}
    rest = 1.0 - shares[SHARES[0]] - shares[SHARES[1]]
    causes = prior.causes
    base = [prior.jobs * prior.share[key] + counts.causes[key] for key in causes]
    return shares | {key: rest * part for key, part in zip(causes, _settle(base, counts.shown), strict=True)}


def _settle(base: list[float], shown: Mapping[Shown, int]) -> list[float]:
    """The parts of the causes, summing to one, that reproduce themselves with the draws that no unit could show."""
    total = math.fsum(base)
    parts = [value / total for value in base]
    hidden = [(one, count) for one, count in sorted(shown.items()) if min(one) < 1.0]
    for _ in range(_ROUNDS if hidden else 0):
        full = list(base)
        for one, count in hidden:
            seen = math.fsum(part * visible for part, visible in zip(parts, one, strict=True))
            for n, visible in enumerate(one):
                full[n] += count * parts[n] * (1.0 - visible) / seen
        total = math.fsum(full)
        new = [value / total for value in full]
        moved = max(abs(a - b) for a, b in zip(new, parts, strict=True))
        parts = new
        if moved < _SETTLED:
            break
    return parts


def rows(knowledge: Knowledge, prior: Prior, counts: Counts) -> list[Row]:
    """Every cause before and after, faults and groups first, by falling share."""
    now, shares = weights_now(knowledge, prior.symptom), learned_shares(prior, counts)
    weights, jobs = written_weights(prior, shares), counts.causes.total()
    found = []
    for key in prior.share:
        seen = jobs
        if key[0] != "share":
            n = prior.causes.index(key)
            seen -= math.fsum((1.0 - one[n]) * count for one, count in counts.shown.items())
        found.append(Row(key, counts.causes[key], _with_interval(prior.share[key], prior.jobs),
                         _with_interval(shares[key], prior.jobs + seen), now[key], weights[key]))
    return sorted(found, key=lambda row: (row.key in SHARES, -row.after[0], row.key))


def _with_interval(share: float, strength: float) -> tuple[float, float, float]:
    return (share, *share_interval(share, strength, LEVEL))


def written_weights(prior: Prior, shares: Mapping[Key, float]) -> dict[Key, float]:
    """Weights to write for these shares, on the judged scale: the sum of the faults stays what it was."""
    rest = 1.0 - shares[SHARES[0]] - shares[SHARES[1]]
    scale = math.fsum(prior.weights[key] * prior.whole[key] for key in prior.causes)
    exact = {key: shares[key] / rest * scale / prior.whole[key] for key in prior.causes}
    fit = min(1.0, MOST / max(exact.values()))
    return {**{key: rounded(shares[key], 1.0) for key in SHARES},
            **{key: rounded(value * fit, scale) for key, value in exact.items()}}


def rounded(value: float, scale: float) -> float:
    """To about a thousandth of the scale, yet to two figures at least, so that nothing becomes zero."""
    if value <= 0.0:
        return 0.0
    return round(value, max(0, 3 - round(math.log10(scale)), 1 - math.floor(math.log10(value))))
