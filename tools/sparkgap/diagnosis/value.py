"""What a state is worth: the expected minutes to the end, looking some acts ahead and estimating the rest.

The rest of a job is estimated by the best order of remedies, by descending chance of success per minute (Kadane and
Simon 1977), with the stops at every step. An act is left out as soon as its cost and a lower bound of what follows
reach the best found so far; which acts are tried first changes no value, only how much is left out. plan.js takes
the same steps.
"""

from __future__ import annotations

from operator import itemgetter
from typing import NamedTuple

from .access import Site
from .space import Check, Remedy, Space, State, total_of

LAST = float("inf")
_NO_GAIN = 1e-12
_FREE_OF_COST = 1e-9
_RATIO = itemgetter(0)


class Gate(NamedTuple):
    """What has to come before a repair: the minutes of the pending checks that can be made, and the site then.

    ``open``: nothing is pending. ``repair``: a repair can be reached. ``ends``: nothing but a stop is left.
    """

    open: bool
    repair: bool
    may_stop: bool
    ends: bool
    cost: float
    site: Site


def gate_of(space: Space, state: State) -> Gate:
    """What is pending in a state."""
    free, first = space.pending_free(state), space.pending_first(state)
    if not free and not first:
        return Gate(True, True, True, False, 0.0, state.site)
    barred = space.barred(state)
    cost, site = 0.0, state.site
    for wanted in (free, 0 if barred else first & ~free):
        for check in space.checks:
            if check.bit & wanted:
                minutes, site = space.check_cost(site, check)
                cost += minutes
    ends = barred and (not free or bool(state.blocked))
    return Gate(False, not barred, space.may_stop(state), ends, cost, site)


def estimate(space: Space, state: State) -> float:
    """Minutes × mass of the best order of remedies, after the checks that have to come before them."""
    return _estimate(space, state.mass, state.tried, state.unsafe, state.site, gate_of(space, state))


def _estimate(space: Space, mass: list[float], tried: int, unsafe: bool, site: Site, gate: Gate) -> float:
    total = total_of(mass)
    stop = _stop(space, unsafe, total, mass[space.normal]) + total * site.close
    if gate.open:
        return min(stop, _repair_in_order(space, mass, tried, unsafe, site, total))
    best = stop if gate.may_stop else LAST
    if gate.ends:
        return best
    if gate.repair:
        rest = _repair_in_order(space, mass, tried, unsafe, gate.site, total)
    else:
        rest = _stop(space, unsafe, total, mass[space.normal]) + total * gate.site.close
    return min(best, total * gate.cost + rest)


def _repair_in_order(
    space: Space, mass: list[float], tried: int, unsafe: bool, site: Site, total: float
) -> float:
    """The remedies in order with the stops; ends as soon as no later stop can be better.

    What no remedy ends costs a stop in the end, so that minutes spent and that together bound what follows.
    """
    left = list(mass)
    normal, left[space.normal] = left[space.normal], 0.0
    never = 0.0
    for n in space.endless:
        never += mass[n]
    never *= min(space.call, space.back)
    standing, scale, spent, best = total - normal, 1.0, 0.0, LAST
    steps, value = [], LAST
    for remedy in _in_order(space, mass, tried, site, total):
        now = scale * standing + normal
        stop = _stop(space, unsafe, now, normal) + now * site.close
        best = min(best, spent + stop)
        if spent + scale * never > best:
            value = stop
            break
        ended = 0.0
        for n in remedy.ends:
            ended += left[n] * (1.0 - remedy.fails)
            left[n] *= remedy.fails
        standing = max(0.0, standing - ended)
        through = scale * standing
        cost, site = space.remedy_cost(site, remedy)
        worth = now * cost + space.back * (remedy.misses * through + normal)
        scale *= 1.0 - remedy.misses
        worth += (now - scale * standing) * site.close
        steps.append((stop, worth))
        spent += worth
        normal = 0.0
    else:
        now = scale * standing + normal
        value = _stop(space, unsafe, now, normal) + now * site.close
    for stop, step in reversed(steps):
        value = min(stop, step + value)
    return value


def _stop(space: Space, unsafe: bool, total: float, normal: float) -> float:
    call = total * space.call
    return call if unsafe else min(call, (total - normal) * space.back)


def _in_order(space: Space, mass: list[float], tried: int, site: Site, total: float) -> list[Remedy]:
    """The untried remedies by descending gain over cost, ties by tier, minutes and id."""
    ratios, least = [], _NO_GAIN * total
    for remedy in space.by_rank:
        if remedy.bit & tried:
            continue
        gain, keeps = 0.0, 1.0 - remedy.fails
        for n in remedy.ends:
            gain += mass[n] * keeps
        if gain >= least and gain > 0.0:
            ratios.append((gain / max(space.remedy_cost(site, remedy)[0], _FREE_OF_COST), remedy))
    ratios.sort(key=_RATIO, reverse=True)  # stays in order of rank where equal
    return [remedy for _, remedy in ratios]


def value(space: Space, state: State, depth: int) -> float:
    """Minutes × mass to the end with the best acts, looking ``depth`` acts ahead."""
    if depth == 0:
        return estimate(space, state)
    if depth == 1:
        return _one_step(space, state)
    best = space.stop(state) if space.may_stop(state) else LAST
    for remedy in space.allowed_remedies(state):
        _, worth, failed = space.after_remedy(state, remedy)
        if worth + space.least(failed.mass, failed.site) < best:
            best = min(best, worth + value(space, failed, depth - 1))
    total = total_of(state.mass)
    for check in space.allowed_checks(state):
        minutes, site = space.check_cost(state.site, check)
        worth, least = total * minutes, space.least(state.mass, site)
        if worth + least < best:
            outcomes = space.after_check(state, check)[1]
            best = min(best, _bounded(space, worth, outcomes, depth - 1, best, least))
    return best


def _bounded(space: Space, worth: float, outcomes: list, depth: int, best: float, least: float) -> float:
    """Worth and the value of the outcomes, broken off once it cannot be less than ``best``."""
    for _, after in outcomes:
        least -= space.least(after.mass, after.site)
        worth += value(space, after, depth)
        if worth + least >= best:
            return best
    return worth


# ---- one step ahead, where nearly all the time is spent: the same as `value`, without making the states ----


def _one_step(space: Space, state: State) -> float:
    gate = gate_of(space, state)
    total = total_of(state.mass)
    best = space.stop(state) if gate.may_stop else LAST
    if gate.open:
        ordered = _in_order(space, state.mass, state.tried, state.site, total)
        likely = ordered[:1]
        for remedy in likely:
            best = _try_remedy(space, state, remedy, total, gate, best)
        for remedy in space.remedies:
            if not remedy.bit & state.tried and remedy not in likely:
                best = _try_remedy(space, state, remedy, total, gate, best)
    checks = space.allowed_checks(state)
    checks.sort(key=lambda check: check.bit != space.lately)
    for check in checks:
        worth = _try_check(space, state, check, total, gate, best)
        if worth < best:
            best, space.lately = worth, check.bit
    return best


def _try_remedy(
    space: Space, state: State, remedy: Remedy, total: float, gate: Gate, best: float
) -> float:
    cost, site = space.remedy_cost(state.site, remedy)
    if total * cost >= best:
        return best
    left = [share * q for share, q in zip(state.mass, remedy.q, strict=True)]
    through, standing = 1.0 - remedy.misses, total_of(left)
    worth = total * cost + space.back * (remedy.misses * standing + state.mass[space.normal])
    worth += (total - through * standing) * site.close
    left = [share * through for share in left]
    if not worth + space.least(left, site) < best:
        return best
    return min(best, worth + _estimate(space, left, state.tried | remedy.bit, state.unsafe, site, gate))


def _try_check(space: Space, state: State, check: Check, total: float, gate: Gate, best: float) -> float:
    minutes, site = space.check_cost(state.site, check)
    worth, least = total * minutes, space.least(state.mass, site)
    if not worth + least < best:
        return best
    if not gate.open or check.first:
        return _bounded(space, worth, space.after_check(state, check)[1], 0, best, least)
    for answer in check.order:
        mass = [share * like for share, like in zip(state.mass, check.like[answer], strict=True)]
        least -= space.least(mass, site)
        unsafe = state.unsafe or (check.within is not None and answer != check.within)
        worth += _estimate(space, mass, state.tried, unsafe, site, gate)
        if worth + least >= best:
            return best
    return worth
