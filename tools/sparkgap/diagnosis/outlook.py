"""What is left of a job: the minutes at the unit for each likely cause, and what to load for it.

For each fault the *course* is followed that the job takes if that fault is there: always the act ranked first,
each check giving the answer that is likeliest under the fault, until the remedy that ends it is proved or the
plan stops. Minutes are those of work, opening, closing and proof; the price of a part is left out and waiting
for it is told apart. outlook.js takes the same steps.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import floor

from .belief import belief
from .plan import STOPS, Option, options
from .space import Space, State, total_of
from .specialise import NORMAL, OTHER

LEAST = 0.01  # causes less probable than this are not followed
LONGEST = 80  # acts; no course is longer, this only ends a loop should there be one
LOW, HIGH = 0.1, 0.9  # the range told: one job in ten is shorter, one in ten longer


def outlook(sm: Mapping, evidence: Mapping) -> dict:
    """Minutes to a proved repair: ``minutes`` on average, ``low`` to ``high`` in eight of ten, by ``courses``.

    ``share`` is the probability of the causes that these figures cover: those followed whose course ends in
    their remedy. Without any the three figures are None. ``tools`` and ``parts`` are what the courses use,
    with the probability that each is needed; ``then`` is what comes next after each answer of the act ranked
    first; ``ask_first`` the plate value for which most of the symptom waits.
    """
    space = Space(sm, evidence)
    start = space.start(evidence)
    shares = belief(sm, evidence)
    faults = [name for name in sm["hypotheses"] if name not in (NORMAL, OTHER) and shares[name] >= LEAST]
    root = Step(space, start)
    courses = {name: course(root, space.hypotheses.index(name)) for name in faults}
    return {
        **_minutes(courses, shares),
        "courses": courses,
        "tools": _used(courses, shares, sm, _tools),
        "parts": _used(courses, shares, sm, _part),
        "then": _then(root),
        "ask_first": sm["ask_first"],
    }


class Step:
    """A state on a course with the act ranked first there and the steps that follow: courses share their beginnings."""

    def __init__(self, space: Space, state: State) -> None:
        self.space = space
        self.state = state
        self._first: Option | None = None
        self._after: dict[int, Step | None] = {}

    @property
    def first(self) -> Option:
        if self._first is None:
            self._first = options(self.space, self.state, 1)[0]
        return self._first

    def after(self, place: int) -> Step | None:
        """The step after an outcome of the first act; None when that cannot be."""
        if place not in self._after:
            state = self.first.outcomes[place][1]
            total = total_of(state.mass)
            even = state._replace(mass=[value / total for value in state.mass]) if total > 0.0 else None
            self._after[place] = None if even is None else Step(self.space, even)
        return self._after[place]


def course(step: Step, cause: int) -> dict:
    """The course that the job takes from a step on if this hypothesis is true: minutes, wait, acts and how it ends."""
    minutes, wait, acts = 0.0, 0.0, []
    for _ in range(LONGEST):
        first = step.first
        if first.kind in STOPS:
            return _told(minutes + step.state.site.close, wait, acts, first.kind)
        acts.append([first.kind, first.id])
        place = 0
        if first.kind == "remedy":
            minutes += first.cost - first.act.data["part_minutes"]
            wait += first.act.data["wait_minutes"]
            if cause in first.act.ends:
                return _told(minutes + first.outcomes[0][1].site.close, wait, acts, "proved")
        else:
            minutes += first.cost
            place = likeliest(first, cause)
        following = step.after(place)
        if following is None:
            break
        step = following
    return _told(minutes + step.state.site.close, wait, acts, "call")


def _told(minutes: float, wait: float, acts: list, end: str) -> dict:
    return {"minutes": minutes, "wait": wait, "acts": acts, "end": end}


def likeliest(option, cause: int) -> int:
    """The place of the answer that the cause gives most often; the clear one when it is one of several."""
    if len(option.outcomes) == 1:  # a blocking check made again
        return 0
    like, best = option.act.like, option.act.clear
    for answer in range(len(like)):
        if like[answer][cause] > like[best][cause]:
            best = answer
    return best


def _minutes(courses: Mapping, shares: Mapping) -> dict:
    proved = sorted((one["minutes"], name) for name, one in courses.items() if one["end"] == "proved")
    share, total = 0.0, 0.0
    for minutes, name in proved:
        share += shares[name]
        total += shares[name] * minutes
    if not share > 0.0:
        return {"minutes": None, "low": None, "high": None, "share": 0.0}
    low, high, reached = None, proved[-1][0], 0.0
    for minutes, name in proved:
        reached += shares[name]
        if low is None and reached >= LOW * share:
            low = minutes
        if reached >= HIGH * share:
            high = minutes
            break
    return {"minutes": total / share, "low": low, "high": high, "share": share}


def _tools(act: Mapping) -> list[str]:
    return act.get("tools") or []


def _part(act: Mapping) -> list[str]:
    return [act["part"]] if act.get("part") else []


def _used(courses: Mapping, shares: Mapping, sm: Mapping, of) -> list[dict]:
    """What the courses use, likeliest first, with the share of the followed causes that use it."""
    acts = {act["id"]: act for act in (*sm["checks"], *sm["remedies"])}
    total, used = 0.0, {}
    for name in sorted(courses):
        total += shares[name]
        things = {thing for _, act in courses[name]["acts"] for thing in of(acts[act])}
        for thing in sorted(things):
            used[thing] = used.get(thing, 0.0) + shares[name]
    ranked = sorted(used, key=lambda thing: (-floor(used[thing] * 1e9 + 0.5), thing))
    return [{"id": thing, "p": used[thing] / total} for thing in ranked]


def _then(root: Step) -> dict:
    first = root.first
    if first.kind != "check":
        return {}
    told = {}
    for place, (answer, _) in enumerate(first.outcomes):
        step = root.after(place)
        if step is not None:
            told[first.act.data["answers"][answer]] = {"kind": step.first.kind, "id": step.first.id}
    return {"check": first.id, "answers": told}
