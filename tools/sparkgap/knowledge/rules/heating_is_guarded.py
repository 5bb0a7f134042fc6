"""An act that lights the burner or heats the water has every gate, and closes every access, marked for that.

The gates say under ``before`` what each of them proves; of those that prove the same an act needs one, unless they
are all for other units. The accesses say under ``shut_for`` that they must be shut.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..acts import Act
from ..conditions import clash
from ..gates import states
from ..model import Knowledge
from ..needs import needed_gates, surrounds

_SAYS = {"lit": "lights the burner", "hot": "heats the water"}


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of codes heat-gate-missing and heat-access-open."""
    if {"gates", "access"} & knowledge.hidden:
        return
    for procedure in knowledge.procedures.values():
        for act in (*procedure.checks.values(), *procedure.remedies.values()):
            for state in _SAYS:
                if ("burner", state) in states(act):
                    yield from _gates(act, state, knowledge)
                    yield from _accesses(act, state, knowledge)


def _gates(act: Act, state: str, knowledge: Knowledge) -> Iterator[Problem]:
    proving: dict[str, list[str]] = {}
    for name, gate in knowledge.gates.items():
        if state in gate.before and not clash(gate.applies_to, act.applies_to):
            proving.setdefault(gate.before[state], []).append(name)
    needed = needed_gates(act, knowledge)
    for what, names in proving.items():
        if not set(names) & {*needed}:
            yield Problem.at(act.at("gates"), "heat-gate-missing",
                             f"{act.id} {_SAYS[state]} and has no gate that proves {what!r} before it",
                             f"add {' or '.join(names)} to its gates")


def _accesses(act: Act, state: str, knowledge: Knowledge) -> Iterator[Problem]:
    for name, access in knowledge.access.items():
        if state not in access.shut_for or clash(access.applies_to, act.applies_to):
            continue
        if not surrounds(act.closes, name, knowledge):
            yield Problem.at(act.at("closes"), "heat-access-open",
                             f"{act.id} {_SAYS[state]} and does not see that {name} is shut",
                             f"add {name} to its closes")
