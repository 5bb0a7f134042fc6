"""What to do next: the act with the least expected minutes until the unit is proved working."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .space import Space, State, total_of
from .value import LAST, value

TIE = 1e-9
STOPS = ("call", "normal")


@dataclass
class Option:
    """One thing to do now. ``value`` is the expected minutes to the end if it is done, ``cost`` its own."""

    kind: str
    id: str
    value: float
    cost: float
    tier: float
    minutes: float
    outcomes: list[tuple[int, State]] = field(default_factory=list)
    act: object = None


def _expected(space: Space, worth: float, outcomes: list, depth: int) -> float:
    for _, after in outcomes:
        worth += value(space, after, depth)
    return worth


def depth_of(space: Space, state: State) -> int:
    """How far to look ahead: as many of the stated steps as keep the search from growing too large."""
    depth = int(space.constants["look_ahead"])
    answers = 0
    for check in space.checks:
        if not check.bit & state.done:
            answers += len(check.like)
    acts = float(len(space.hypotheses) * (len(space.remedies) + 1))
    while depth > 1 and acts * float(answers) ** depth > space.constants["look_ahead_limit"]:
        depth -= 1
    return depth


def options(space: Space, state: State, depth: int) -> list[Option]:
    """All that may be done now, best first. The state's mass must sum to one."""
    found = []
    for check in space.allowed_checks(state):
        cost, outcomes = space.after_check(state, check)
        worth = _expected(space, total_of(state.mass) * cost, outcomes, depth - 1)
        found.append(Option("check", check.id, worth, cost, check.tier, check.minutes, outcomes, check))
    for remedy in space.allowed_remedies(state):
        cost, worth, failed = space.after_remedy(state, remedy)
        worth += value(space, failed, depth - 1)
        found.append(
            Option("remedy", remedy.id, worth, cost, remedy.tier, remedy.minutes, [(0, failed)], remedy)
        )
    call, back = space.stops(state)
    found.append(Option("call", "call", call, space.call + state.site.close, LAST, 0.0))
    if back is not None:
        found.append(Option("normal", "normal", back, back, LAST, 0.0))
    return _in_turn(space, state, rank(found))


def rank(found: list[Option]) -> list[Option]:
    """By value; among those within the tie tolerance of the best by tier, minutes and id, stops last."""
    ordered = sorted(found, key=lambda option: option.value)
    ranked: list[Option] = []
    start = 0
    while start < len(ordered):
        limit = ordered[start].value + TIE * max(1.0, abs(ordered[start].value))
        end = start
        while end < len(ordered) and ordered[end].value <= limit:
            end += 1
        ranked += sorted(ordered[start:end], key=lambda option: (option.tier, option.minutes, option.id))
        start = end
    return ranked


def _in_turn(space: Space, state: State, ranked: list[Option]) -> list[Option]:
    """What must come first before all else, as its symptom lists it; stops last while a check is due."""
    due = space.pending_first(state) & ~state.blocked
    may_stop = space.may_stop(state)

    def turn(option: Option) -> tuple[int, float]:
        if option.kind == "check" and option.act.bit & due:
            return 0, option.act.place
        return (2 if option.kind in STOPS and not may_stop else 1), 0.0

    return sorted(ranked, key=turn)


def plan(sm: Mapping, evidence: Mapping) -> dict:
    """Expected minutes to the end and what may be done next, ranked, best first.

    Returns value, next, pending_first, pending_free, needs_qualified and depth; see `guide.guide`.
    """
    space = Space(sm, evidence)
    state = space.start(evidence)
    depth = max(1, depth_of(space, state))
    ranked = options(space, state, depth)
    return {
        "value": _least(space, state, ranked),
        "next": [_told(space, state, option) for option in ranked],
        "pending_first": space.ids(space.pending_first(state)),
        "pending_free": space.ids(space.pending_free(state)),
        "needs_qualified": _needs_qualified(sm, evidence),
        "depth": depth,
    }


def _least(space: Space, state: State, ranked: list[Option]) -> float:
    may_stop, least = space.may_stop(state), LAST
    for option in ranked:
        if may_stop or option.kind not in STOPS:
            least = min(least, option.value)
    return least


def _told(space: Space, state: State, option: Option) -> dict:
    told = {"kind": option.kind, "id": option.id, "value": option.value, "cost": option.cost}
    told.update({"tier": option.tier, "answers": {}, "clears": 0})
    if option.kind == "check":
        told["again"] = bool(option.act.bit & state.blocked)
        told["answers"] = _answers(space, option)
        told["clears"] = _clears(space, state, option)
    elif option.kind == "remedy":
        told["fixes"] = _fixes(state, option)
        told["clears"] = len(option.act.ends)
    else:
        told["tier"] = None
    return told


def _fixes(state: State, option: Option) -> float:
    """The probability that there is a fault and the remedy ends it."""
    fixed = 0.0
    for n in option.act.ends:
        fixed += state.mass[n] * (1.0 - option.act.fails)
    return fixed


def _answers(space: Space, option: Option) -> dict:
    """For each answer its probability, and the hypothesis it would make the likeliest with its share."""
    told = {}
    for answer, after in option.outcomes:
        share = total_of(after.mass)
        lead = 0
        for n, mass in enumerate(after.mass):
            if mass > after.mass[lead] * (1.0 + TIE):
                lead = n
        name = option.act.data["answers"][answer]
        led = after.mass[lead] / share if share > 0.0 else 0.0
        told[name] = {"p": share, "lead": space.hypotheses[lead], "share": led}
    return told


def _clears(space: Space, state: State, option: Option) -> int:
    """How many faults the clear answer would bring to a tenth of their share or less."""
    if option.act.bit & state.blocked:
        return 0
    after = option.outcomes[option.act.clear][1].mass
    share, count = total_of(after), 0
    for n, name in enumerate(space.hypotheses):
        fault = name not in ("normal", "other")
        if fault and state.mass[n] > 0.0 and after[n] <= 0.1 * state.mass[n] * share:
            count += 1
    return count


def _needs_qualified(sm: Mapping, evidence: Mapping) -> list[dict]:
    """The acts left to someone with more qualifications, with those that lack."""
    who = set(evidence.get("who", [])) | {"owner"}
    over = set(evidence.get("results", {})) | set(evidence.get("failed", []))
    return [
        {"kind": kind, "id": act["id"], "needs": sorted(set(act["who"]) - who)}
        for kind, acts in (("check", sm["checks"]), ("remedy", sm["remedies"]))
        for act in acts
        if act["id"] not in over and not set(act["who"]) <= who
    ]
