"""The yardstick: exact expected minutes on small models, under the same costs and constraints as the plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from .plan import depth_of, options
from .space import Space, State, total_of
from .value import estimate

LIMIT = 200_000


class TooLarge(ValueError):
    """The exact computation would visit too many states."""


def optimum(sm: Mapping, evidence: Mapping, limit: int = LIMIT) -> float:
    """Least expected minutes to the end over all policies. Raises TooLarge above ``limit`` states."""
    space = Space(sm, evidence)
    state = space.start(evidence)
    _refuse(space, state, limit)
    return _Walk(space, _best).value(state)


def policy_cost(sm: Mapping, evidence: Mapping, limit: int = LIMIT) -> float:
    """Expected minutes when the plan's first recommendation is followed at every step to the end."""
    space = Space(sm, evidence)
    state = space.start(evidence)
    _refuse(space, state, limit)
    return _Walk(space, _recommended).value(state)


def procedure_order_cost(sm: Mapping, evidence: Mapping, order: Sequence[str]) -> float:
    """Expected minutes when checks are made in a fixed order up to the first that does not come out clear.

    From there, and after the last check, the remedies follow in their best order. A check that may not be
    made yet lets the next one go first.
    """
    space = Space(sm, evidence)
    place = {gid: n for n, gid in enumerate(order)}
    return _in_order(space, space.start(evidence), place)


def _in_order(space: Space, state: State, place: Mapping[str, int]) -> float:
    allowed = [check for check in space.allowed_checks(state) if check.id in place]
    if not allowed:
        return estimate(space, state)
    check = min(allowed, key=lambda one: place[one.id])
    cost, outcomes = space.after_check(state, check)
    worth = total_of(state.mass) * cost
    for answer, after in outcomes:
        on = answer == check.clear
        worth += _in_order(space, after, place) if on else estimate(space, after)
    return worth


def _refuse(space: Space, state: State, limit: int) -> None:
    size = 1
    for check in space.checks:
        if not check.bit & state.done:
            size *= len(check.like) + 1
    size <<= len([remedy for remedy in space.remedies if not remedy.bit & state.tried])
    if size > limit:
        raise TooLarge(f"{size} states, more than {limit}")


def _best(walk: _Walk, state: State, key: tuple) -> float:
    best = walk.space.stop(state) if walk.space.may_stop(state) else math.inf
    for remedy in walk.space.allowed_remedies(state):
        best = min(best, walk.through_remedy(state, key, remedy))
    for check in walk.space.allowed_checks(state):
        best = min(best, walk.through_check(state, key, check))
    return best


def _recommended(walk: _Walk, state: State, key: tuple) -> float:
    space, total = walk.space, total_of(state.mass)
    even = state._replace(mass=[value / total for value in state.mass])
    choice = options(space, even, max(1, depth_of(space, state)))[0]
    if choice.kind == "remedy":
        return walk.through_remedy(state, key, choice.act)
    if choice.kind == "check":
        return walk.through_check(state, key, choice.act)
    return choice.value * total


class _Walk:
    """A walk over all states, each valued once. A state is known by what was found, tried and left open."""

    def __init__(self, space: Space, rule) -> None:
        self.space = space
        self._rule = rule
        self._known: dict[tuple, float] = {}

    def value(self, state: State, found: frozenset = frozenset()) -> float:
        if total_of(state.mass) <= 0.0:
            return 0.0
        key = (found, state.tried, state.blocked, state.site.open)
        if key not in self._known:
            self._known[key] = self._rule(self, state, found)
        return self._known[key]

    def through_remedy(self, state: State, found: frozenset, remedy) -> float:
        _, worth, failed = self.space.after_remedy(state, remedy)
        return worth + self.value(failed, found)

    def through_check(self, state: State, found: frozenset, check) -> float:
        cost, outcomes = self.space.after_check(state, check)
        worth = total_of(state.mass) * cost
        again = bool(check.bit & state.blocked)
        for answer, after in outcomes:
            worth += self.value(after, found if again else found | {(check.id, answer)})
        return worth
