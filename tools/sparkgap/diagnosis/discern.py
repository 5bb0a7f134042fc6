"""What the checks of a symptom do not tell, and where its plan is weak: for the authors of the knowledge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from .belief import row
from .outlook import LONGEST, Step, course, likeliest
from .plan import STOPS
from .space import Check, Space, State, total_of
from .specialise import NORMAL, OTHER

_SAME = 1e-12
HARD = ("fault-unremedied", "proof-missing")
_SHUT_OFF = ("gas", "power")


def indistinct(sm: Mapping) -> list[dict]:
    """Groups of two or more faults of a specialised symptom whose rows are equal for all checks.

    Each group is {"faults": ids in order, "same_remedy": whether one remedy ends them all}: with it, telling
    them apart would save nothing.
    """
    groups: list[list[str]] = []
    for fault in sm["faults"]:
        home = next((group for group in groups if _alike(sm, group[0], fault["id"])), None)
        if home is None:
            groups.append([fault["id"]])
        else:
            home.append(fault["id"])
    return [
        {
            "faults": group,
            "same_remedy": any(set(group) <= set(remedy["ends"]) for remedy in sm["remedies"]),
        }
        for group in groups
        if len(group) > 1
    ]


def _alike(sm: Mapping, one: str, other: str) -> bool:
    return all(
        abs(p - q) <= _SAME
        for check in sm["checks"]
        for p, q in zip(row(check, one), row(check, other), strict=True)
    )


def discern(sm: Mapping, gates: Mapping) -> list[dict]:
    """What to look at in a specialised symptom, for someone with every qualification: code, ids, message, fix, hard.

    ``gates`` are the compiled ones. Codes: ``indistinct`` faults that no check tells apart, ``indistinct-harmless``
    where one remedy ends them all; ``check-idle`` (see `idle_checks`); ``start-unsafe``, a first act above tier 0, or
    one that wants gas or power shut off while free questions are open; ``course-unproved``, a fault whose course
    does not end in a proved repair; ``fault-unremedied`` and ``proof-missing``, which are hard: the plan cannot work.
    """
    who = sorted({need for act in (*sm["checks"], *sm["remedies"]) for need in act["who"]})
    space = Space(sm, {"who": who})
    root = Step(space, space.start({}))
    found = [*_unremedied(sm), *_unproved(sm), *_indistinct(sm), *_start(root, gates), *_courses(sm, root)]
    found += [_finding("check-idle", [name], f"the check {name} never changes what comes next",
                       "let its answers speak for more faults, or take it out of this symptom")
              for name in idle_checks(space, root)]
    return found


def _finding(code: str, ids: list[str], message: str, fix: str) -> dict:
    return {"code": code, "ids": ids, "message": message, "fix": fix, "hard": code in HARD}


def _unremedied(sm: Mapping) -> Iterator[dict]:
    ended = {name for remedy in sm["remedies"] for name in remedy["ends"]}
    for fault in sm["faults"]:
        if fault["id"] not in ended:
            yield _finding("fault-unremedied", [fault["id"]], f"no remedy ends the fault {fault['id']} here",
                           "name it under ends: of a remedy that fits these units")


def _unproved(sm: Mapping) -> Iterator[dict]:
    for remedy in sm["remedies"]:
        if not remedy.get("proof") or remedy["misses"] >= 1.0:
            yield _finding("proof-missing", [remedy["id"]], f"nothing proves the remedy {remedy['id']}",
                           "name a check under proof: that can fail")


def _indistinct(sm: Mapping) -> Iterator[dict]:
    for group in indistinct(sm):
        names = ", ".join(group["faults"])
        if group["same_remedy"]:
            yield _finding("indistinct-harmless", group["faults"],
                           f"no check tells apart {names}; one remedy ends them all", "nothing needs to be done")
        else:
            yield _finding("indistinct", group["faults"], f"no check tells apart {names}",
                           "give a check another likelihood for one of them")


def _start(root: Step, gates: Mapping) -> Iterator[dict]:
    first, due = root.first, root.space.pending_free(root.state)
    if first.kind in STOPS:
        return
    data = first.act.data
    shut = [name for name in data["gates"] if any(gates[name]["holds"].get(what) for what in _SHUT_OFF)]
    if first.tier > 0:
        yield _finding("start-unsafe", [first.id], f"the first act, {first.id}, is of tier {first.tier}",
                       "give the symptom a look of tier 0 that takes three minutes at the most")
    elif due and shut:
        yield _finding("start-unsafe", [first.id], f"the first act, {first.id}, wants {', '.join(shut)} before "
                       "the free questions", "put a look without gates first")


def _courses(sm: Mapping, root: Step) -> Iterator[dict]:
    for fault in sm["faults"]:
        told = course(root, sm["hypotheses"].index(fault["id"]))
        if told["end"] != "proved":
            acts = "1 act" if len(told["acts"]) == 1 else f"{len(told['acts'])} acts"
            end = "a call for help" if told["end"] == "call" else "handing the unit back"
            yield _finding("course-unproved", [fault["id"]],
                           f"if it is {fault['id']}, the plan ends in {end} after {acts}",
                           "let a check point to it, or see what makes its remedy dear")


def idle_checks(space: Space, root: Step) -> list[str]:
    """The checks that never change a plan, in order of id.

    The states looked at are those on the courses of the faults (see outlook.py). A check changes a plan if, in one of
    them, it is ranked first without having to be, or if one of its answers there makes another act first than is
    first without it. A check that comes first or is free has to be made in any case: it changes a plan if, where all
    those have just been made, another answer of it makes another act first, or if an answer of it blocks.
    """
    seen: set[int] = set()
    useful = {check.id for check in space.checks if check.first and check.blocks}
    for n, name in enumerate(space.hypotheses):
        if name in (NORMAL, OTHER):
            continue
        for step, made in _steps(root, n):
            if id(step) in seen:
                continue
            seen.add(id(step))
            if not space.pending_free(step.state) and not space.pending_first(step.state):
                useful |= _useful(space, step, made, useful)
    return [check.id for check in space.checks if check.id not in useful]


def _steps(step: Step, cause: int) -> Iterator[tuple[Step, dict[int, int]]]:
    """The steps of a course, each with the answers to the checks that had to be made, by bit."""
    space, made = step.space, {}
    for _ in range(LONGEST):
        yield step, dict(made)
        first = step.first
        if first.kind in STOPS or (first.kind == "remedy" and cause in first.act.ends):
            return
        place = 0
        if first.kind == "check":
            place = likeliest(first, cause)
            if space.pending_free(step.state) or space.pending_first(step.state):
                made[first.act.bit] = first.outcomes[place][0]
            else:
                made.clear()  # only where those that are due have just been made
        else:
            made.clear()
        following = step.after(place)
        if following is None:
            return
        step = following


def _useful(space: Space, step: Step, made: Mapping[int, int], known: set[str]) -> set[str]:
    first = step.first
    found = {first.id} if first.kind == "check" else set()
    for check in space.checks:
        if check.id in known or check.id in found:
            continue
        if check.bit in made:
            others = _answered_otherwise(step.state, check, made[check.bit])
        elif not check.bit & step.state.done:
            others = (after for _, after in space.after_check(step.state, check)[1])
        else:
            continue
        if any(_leads_elsewhere(space, state, first) for state in others):
            found.add(check.id)
    return found


def _answered_otherwise(state: State, check: Check, answer: int) -> Iterator[State]:
    for other, like in enumerate(check.like):
        if other != answer:
            mass = [share * p / q if q > 0.0 else 0.0
                    for share, p, q in zip(state.mass, like, check.like[answer], strict=True)]
            yield state._replace(mass=mass)


def _leads_elsewhere(space: Space, state: State, first) -> bool:
    total = total_of(state.mass)
    if not total > 0.0:
        return False
    then = Step(space, state._replace(mass=[share / total for share in state.mass])).first
    return (then.kind, then.id) != (first.kind, first.id)
