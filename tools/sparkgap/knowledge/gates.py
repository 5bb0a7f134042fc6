"""Which safety gates hold in the course of a job: an act may void some, and they are asked for again.

One rule for the job card, the guide and the rules of the check. conf/static/js/gates.js is its twin in the browser;
both are held together by tests/vectors/gates.json.
"""

from __future__ import annotations

from .acts import Act
from .entities import Gate
from .model import Knowledge
from .needs import access_chain, needed_gates, surrounds

LIT = ("burner", "lit")


def states(act: Act) -> set[tuple[str, str]]:
    """Every state that the unit is in during an act or after it, as (name, value).

    A state that an act needs counts although it leaves another one. With gas and 12 V both on a thermostat may
    light the burner at any moment, so that such an act counts as one that lights it.
    """
    found = {*act.requires.items(), *act.leaves.items()}
    return found | {LIT} if {("gas", "on"), ("power", "on")} <= found else found


def voids(gate: Gate, act: Act, knowledge: Knowledge) -> bool:
    """Whether a gate must be asked for again after an act.

    It must after a state other than the one that it secures, after a state that it names as voiding it, and after an
    access that it names stood open. Who somebody is does not change: a gate that only asks for a qualification names
    neither and stays.
    """
    named = gate.voided_by
    if any(gate.holds.get(name, value) != value or named["states"].get(name) == value for name, value in states(act)):
        return True
    return not set(named["opens"]).isdisjoint(access_chain(act.access, knowledge))


class Job:
    """The gates that hold and the accesses that are open while one act follows another."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.held: set[str] = set()
        self.open: set[str] = set()

    def lacking(self, act: Act) -> list[str]:
        """The gates of an act that do not hold yet, outermost first."""
        return [gate for gate in needed_gates(act, self.knowledge, self.open) if gate not in self.held]

    def do(self, act: Act) -> None:
        """Carry out an act: close and open what it names, and void the gates that it voids."""
        self.open -= {name for name in self.open if surrounds(act.closes, name, self.knowledge)}
        self.open |= set(access_chain(act.access, self.knowledge))
        self.held -= {name for name in self.held if voids(self.knowledge.gates[name], act, self.knowledge)}
