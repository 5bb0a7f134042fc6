"""What a procedure declares its text places once, and what the text places is declared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ...problems import Problem
from ..acts import Placement, Procedure
from ..model import Knowledge

_DECLARED = {"check": "checks", "remedy": "remedies", "tolerance": "tolerances", "gate": "safety_gates"}


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes not-placed and not-declared."""
    every = {"check": set(knowledge.checks), "remedy": set(knowledge.remedies),
             "calculator": set(knowledge.calculators)}
    for procedure in knowledge.procedures.values():
        placed = Counter((one.kind, _local(one.target, procedure)) for one in procedure.placements)
        yield from _not_placed(procedure, placed)
        for one in procedure.placements:
            if one.target not in _known(one.kind, procedure, every):
                yield from _not_declared(one, knowledge)


def _local(target: str, procedure: Procedure) -> str:
    return target.removeprefix(f"{procedure.id}/")


def _not_placed(procedure: Procedure, placed: Counter) -> Iterator[Problem]:
    for kind, attribute in _DECLARED.items():
        for index, name in enumerate(getattr(procedure, attribute)):
            count = placed[kind, name]
            place = procedure.at(attribute, name) if kind != "gate" else procedure.at(attribute, index)
            if count == 0 and _needs_place(kind, name, procedure):
                yield Problem.at(place, "not-placed", f"the {kind} {name} is not placed in the text",
                                 f"put ```{{{kind}}} {name} where it belongs")
            if count > 1 and kind != "tolerance":
                yield Problem.at(place, "not-placed", f"the {kind} {name} is placed {count} times", "place it once")


def _needs_place(kind: str, name: str, procedure: Procedure) -> bool:
    # A tolerance that a placed check reads is shown with it.
    if kind != "tolerance":
        return True
    return not any(name in (*one.measure, one.limit) for one in procedure.checks.values())


def _not_declared(one: Placement, knowledge: Knowledge) -> Iterator[Problem]:
    where = "safety_gates" if one.kind == "gate" else f"{one.kind}s".replace("remedys", "remedies")
    named = f"the {one.kind} {one.target!r}" if one.target else f"a {one.kind} without a name"
    if one.target.split("/")[0] in knowledge.broken:
        return  # said where it is declared
    yield Problem.at(one.place, "not-declared", f"{named} is placed but not declared",
                     f"declare it under {where}:" if one.kind != "calculator" else "name a file of kb/calculators")


def _known(kind: str, procedure: Procedure, every: dict[str, set[str]]) -> set[str]:
    own = set(getattr(procedure, _DECLARED[kind])) if kind in _DECLARED else set()
    return own | every.get(kind, set())
