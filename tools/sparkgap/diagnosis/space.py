"""The states a job can be in and the acts that lead from one to the next: costs, chances, safety constraints.

A state carries the unnormalised weight of each hypothesis, its *mass*. Values are carried the same way, as
minutes times the total mass (they are homogeneous), so that nothing is divided on the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from .access import Accesses, Site
from .belief import failed_remedies, joint, row, survives
from .specialise import NORMAL

_NO_PLACE = 1e9  # a must-come-first check that no list orders comes after those that one does


@dataclass(frozen=True)
class Check:
    """A check as the planner sees it; ``like[answer][hypothesis]`` by position."""

    id: str
    bit: int
    tier: int
    minutes: float
    first: bool
    place: float
    like: list[list[float]]
    clear: int
    order: list[int]  # of the answers, the clear one first: it mostly weighs most
    blocks: frozenset[int]
    within: int | None
    data: Mapping


@dataclass(frozen=True)
class Remedy:
    """A remedy as the planner sees it: ``ends`` are positions of hypotheses."""

    id: str
    bit: int
    tier: int
    minutes: float
    work: float
    fails: float
    misses: float
    ends: list[int]
    q: list[float]
    data: Mapping


class State(NamedTuple):
    """Where a job stands. ``done``, ``blocked`` and ``tried`` are sets of bits of checks and remedies.

    ``unsafe``: a reading that matters for safety was not surely within; the unit is not handed back as sound.
    """

    mass: list[float]
    site: Site
    done: int
    blocked: int
    tried: int
    unsafe: bool


class Space:
    """The acts open to a person on one unit."""

    def __init__(self, sm: Mapping, evidence: Mapping) -> None:
        self.sm = sm
        self.constants = sm["constants"]
        self.call = self.constants["call_minutes"]
        self.back = self.constants["back_minutes"]
        self.hypotheses = sm["hypotheses"]
        self.normal = self.hypotheses.index(NORMAL)
        self.accesses = Accesses(sm)
        who, aside = set(evidence.get("who", [])), set(evidence.get("aside", []))
        every = [_check(check, 1 << n, self.hypotheses) for n, check in enumerate(sm["checks"])]
        self.checks = [c for c in every if able(c.data, who) and c.id not in aside]
        self.remedies = [
            _remedy(remedy, 1 << n, self.hypotheses)
            for n, remedy in enumerate(sm["remedies"])
            if able(remedy, who) and remedy["id"] not in aside
        ]
        self.by_rank = sorted(self.remedies, key=lambda r: (r.tier, r.minutes, r.id))
        ended = {n for remedy in self.remedies for n in remedy.ends}
        self.endless = [n for n in range(len(self.hypotheses)) if n != self.normal and n not in ended]
        self.lately = 0  # the bit of the check that was best in the state looked at before
        self._floors: dict[Site, list[float]] = {}
        self._all = every
        self._free = _bits(c for c in self.checks if c.data["free"])
        self._first = _bits(c for c in every if c.first)
        self._can = _bits(self.checks)

    def _floor(self, site: Site, n: int) -> float:
        """Minutes from a site to the end at the least if this hypothesis is true, however well it is played.

        What is open gets closed, and a remedy that ends it is made, or a stop.
        """
        if n == self.normal:
            return site.close
        least = min(self.call, self.back) + site.close
        for remedy in self.remedies:
            if n in remedy.ends:
                cost, end = self.remedy_cost(site, remedy)
                least = min(least, cost + end.close)
        return least

    def least(self, mass: list[float], site: Site) -> float:
        """A lower bound of minutes × mass from a site to the end."""
        floors = self._floors.get(site)
        if floors is None:
            floors = self._floors[site] = [self._floor(site, n) for n in range(len(self.hypotheses))]
        bound = 0.0
        for value, floor in zip(mass, floors, strict=True):
            bound += value * floor
        return bound

    def start(self, evidence: Mapping) -> State:
        """The state that the evidence describes, its mass summing to one."""
        weights = joint(self.sm, evidence)
        mass = [weights[name] for name in self.hypotheses]
        total = total_of(mass)
        if total > 0.0:
            mass = [value / total for value in mass]
        else:
            mass = [self.sm["prior"][name] for name in self.hypotheses]
        done = blocked = 0
        unsafe = False
        for check in self._all:
            result = evidence.get("results", {}).get(check.id)
            if result is None or not any(result["v"].get(a, 0.0) > 0.0 for a in check.data["answers"]):
                continue
            done |= check.bit
            if self._blocks(check, result["v"]):
                blocked |= check.bit
            unsafe = unsafe or self._unsure(check, result["v"])
        failed = {remedy["id"] for remedy in failed_remedies(self.sm, evidence)}
        tried = _bits(remedy for remedy in self.remedies if remedy.id in failed)
        return State(mass, self.accesses.site(evidence.get("open", [])), done, blocked, tried, unsafe)

    def _blocks(self, check: Check, weights: Mapping[str, float]) -> bool:
        if not check.first:
            return False
        share = 0.0
        for answer in sorted(check.blocks):
            share += weights.get(check.data["answers"][answer], 0.0)
        return share >= 0.5 or (share > 0.0 and self._unsure(check, weights))

    def _unsure(self, check: Check, weights: Mapping[str, float]) -> bool:
        if check.within is None:
            return False
        return weights.get(check.data["answers"][check.within], 0.0) < self.constants["conformity"]

    def pending_free(self, state: State) -> int:
        """The bits of the free checks (no tool, nothing opened, three minutes) that come before all else."""
        return self._free & ~state.done

    def pending_first(self, state: State) -> int:
        """The bits of the must-come-first checks that are open or whose answer forbids going on."""
        return (self._first & ~state.done) | state.blocked

    def barred(self, state: State) -> bool:
        """Whether a must-come-first check is open that this person cannot make: no repair can be reached."""
        return bool(self.pending_first(state) & ~self._can)

    def may_stop(self, state: State) -> bool:
        """Whether stopping is a choice yet: not while a free or a must-come-first check can be made.

        It always is where the answer of a must-come-first check forbids going on.
        """
        if state.blocked:
            return True
        if self.pending_free(state):
            return False
        return self.barred(state) or not self._first & ~state.done

    def allowed_checks(self, state: State) -> list[Check]:
        """The checks that may be made now, in order of id.

        Where an answer forbids going on, that check alone, made again once its cause is put right.
        """
        if state.blocked:
            return [check for check in self.checks if check.bit & state.blocked]
        free, first = self.pending_free(state), self.pending_first(state)
        open_checks = self._can & ~state.done
        return [
            check
            for check in self.checks
            if check.bit & open_checks
            and not (free and check.tier > 0)
            and not (first and check.tier > 0 and not check.first)
        ]

    def allowed_remedies(self, state: State) -> list[Remedy]:
        """The remedies that may be carried out now, in order of id; each at most once."""
        if self.pending_free(state) or self.pending_first(state):
            return []
        return [remedy for remedy in self.remedies if not remedy.bit & state.tried]

    def ids(self, bits: int) -> list[str]:
        """The ids of the checks with these bits."""
        return [check.id for check in self._all if check.bit & bits]

    def stops(self, state: State) -> tuple[float, float | None]:
        """Minutes × mass of calling for help and of handing back as normal (None when that is not safe)."""
        total = total_of(state.mass)
        close = total * state.site.close
        back = None if state.unsafe else (total - state.mass[self.normal]) * self.back + close
        return total * self.call + close, back

    def stop(self, state: State) -> float:
        """Minutes × mass of the cheaper stop."""
        call, back = self.stops(state)
        return call if back is None else min(call, back)

    def check_cost(self, site: Site, check: Check) -> tuple[float, Site]:
        """Minutes of a check from a site, and what then stands open."""
        step = site.steps.get(check.id)
        if step is None:
            travel, then = self.accesses.move(site, check.data["closes"], check.data["access"])
            step = site.steps[check.id] = (check.minutes + travel, then)
        return step

    def after_check(self, state: State, check: Check) -> tuple[float, list[tuple[int, State]]]:
        """The minutes of a check and the states its answers lead to.

        A blocking check made again is taken to come out clear, its cause having been put right; what it
        told about the faults stays.
        """
        cost, site = self.check_cost(state.site, check)
        if check.bit & state.blocked:
            again = state._replace(site=site, blocked=state.blocked & ~check.bit)
            return cost, [(check.clear, again)]
        done = state.done | check.bit
        outcomes = []
        for answer, like in enumerate(check.like):
            blocked = state.blocked | check.bit if check.first and answer in check.blocks else state.blocked
            unsafe = state.unsafe or (check.within is not None and answer != check.within)
            mass = [value * share for value, share in zip(state.mass, like, strict=True)]
            outcomes.append((answer, State(mass, site, done, blocked, state.tried, unsafe)))
        return cost, outcomes

    def remedy_cost(self, site: Site, remedy: Remedy) -> tuple[float, Site]:
        """Minutes of a remedy and its proof (work, part, wait, opening, closing), and what then is open."""
        step = site.steps.get(remedy.id)
        if step is None:
            data = remedy.data
            travel, there = self.accesses.move(site, data.get("closes") or [], data["access"])
            closes, opens = data.get("proof_closes") or [], data.get("proof_access") or []
            proving, end = self.accesses.move(there, closes, opens)
            step = site.steps[remedy.id] = (remedy.work + travel + proving, end)
        return step

    def after_remedy(self, state: State, remedy: Remedy) -> tuple[float, float, State]:
        """Minutes of a remedy with its proof, minutes × mass of all but failing, and the state of a failed
        proof.

        The second holds cost, the expected cost of a unit that comes back, and closing up when the proof
        passes.
        """
        cost, site = self.remedy_cost(state.site, remedy)
        left = [value * q for value, q in zip(state.mass, remedy.q, strict=True)]
        total, standing = total_of(state.mass), total_of(left)
        failed = (1.0 - remedy.misses) * standing
        value = total * cost + self.back * (remedy.misses * standing + state.mass[self.normal])
        value += (total - failed) * site.close
        mass = [share * (1.0 - remedy.misses) for share in left]
        return cost, value, state._replace(mass=mass, site=site, tried=state.tried | remedy.bit)


def able(act: Mapping, who: set[str]) -> bool:
    """Whether someone with these qualifications may do it."""
    return all(need in who or need == "owner" for need in act["who"])


def total_of(mass: list[float]) -> float:
    """The sum, in order."""
    total = 0.0
    for value in mass:
        total += value
    return total


def _bits(acts) -> int:
    bits = 0
    for act in acts:
        bits |= act.bit
    return bits


def _check(data: Mapping, bit: int, hypotheses: list[str]) -> Check:
    answers = data["answers"]
    rows = [row(data, name) for name in hypotheses]
    within = answers.index("within" if "within" in answers else data["clear"]) if data["safety"] else None
    return Check(
        id=data["id"],
        bit=bit,
        tier=data["tier"],
        minutes=data["minutes"],
        first=bool(data["first"]),
        place=_NO_PLACE if data.get("place") is None else float(data["place"]),
        like=[[one[n] for one in rows] for n in range(len(answers))],
        clear=answers.index(data["clear"]),
        order=sorted(range(len(answers)), key=lambda n: answers[n] != data["clear"]),
        blocks=frozenset(n for n, answer in enumerate(answers) if answer in (data.get("blocks") or [])),
        within=within,
        data=data,
    )


def _remedy(data: Mapping, bit: int, hypotheses: list[str]) -> Remedy:
    return Remedy(
        id=data["id"],
        bit=bit,
        tier=data["tier"],
        minutes=data["minutes"],
        work=data["minutes"] + data["part_minutes"] + data["proof_minutes"],
        fails=data["fails"],
        misses=data["misses"],
        ends=[n for n, name in enumerate(hypotheses) if name in data["ends"]],
        q=[survives(data, name) for name in hypotheses],
        data=data,
    )
