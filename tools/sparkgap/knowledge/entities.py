"""What kb/ names: sources, plate values, gates, tools, parts, units, faults, symptoms.

Quantities are kept as the author wrote them (text) beside their SI magnitude, so that pages show the
written form and engines compute with the number.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ..problems import Place


@dataclass(frozen=True)
class Amount:
    """A physical amount: text as written, quantity id, magnitude in SI base units."""

    text: str
    quantity: str
    si: float

    @property
    def value_si(self) -> float:
        """The magnitude, by the name that calculators use."""
        return self.si


@dataclass(frozen=True)
class Term:
    """One condition on a data-plate value: any of some values, or a half-open band low <= x < high (SI)."""

    name: str
    any: tuple[Any, ...] = ()
    low: float | None = None
    high: float | None = None

    def as_json(self) -> dict[str, Any]:
        """The term for the engines."""
        if self.any:
            return {"name": self.name, "any": list(self.any)}
        return {"name": self.name, "low": self.low, "high": self.high}


Condition = tuple[Term, ...]


@dataclass
class Entity:
    """What every named thing has: an id, a title, and where it is written."""

    id: str
    title: str
    place: Place
    places: dict[tuple, Place] = field(default_factory=dict, repr=False)

    def at(self, *path: str | int) -> Place:
        """Where a part of this entity is written; the nearest known place above it when unknown."""
        while path:
            if path in self.places:
                return self.places[path]
            path = path[:-1]
        return self.place


@dataclass
class Source(Entity):
    """Where numbers come from. kind: standard, handbook, library, dataset, common-practice, memory or demo."""

    kind: str = ""
    where: str = ""
    note: str = ""


@dataclass
class PlateValue(Entity):
    """One value of a data plate: a choice among values, or a quantity."""

    kind: str = "choice"
    where: str = ""
    quantity: str = ""
    unit: str = ""
    values: dict[str, str] = field(default_factory=dict)
    low: Amount | None = None
    high: Amount | None = None


@dataclass
class Constant(Entity):
    """A named number with its source."""

    amount: Amount | None = None
    source: str = ""
    note: str = ""


@dataclass
class Table(Entity):
    """A small table: one key column and value columns, rows in SI."""

    source: str = ""
    key: tuple[str, str] = ("", "")
    columns: dict[str, str] = field(default_factory=dict)
    rows: list[list[float]] = field(default_factory=list)
    written: list[list[str]] = field(default_factory=list)
    note: str = ""


@dataclass
class Gate(Entity):
    """A safety gate: a condition that must hold, how to see that it does, and what to do when it does not.

    ``holds`` are the states that it secures. ``voided_by`` names further states and opened accesses after which it
    must be asked for again. ``before`` maps a burner state to what the gate proves before it, on the units of
    ``applies_to``.
    """

    says: str = ""
    how: str = ""
    otherwise: str = ""
    who: tuple[str, ...] = ()
    holds: dict[str, str] = field(default_factory=dict)
    voided_by: dict[str, Any] = field(default_factory=lambda: {"states": {}, "opens": []})
    before: dict[str, str] = field(default_factory=dict)
    applies_to: Condition = ()
    hazard: str = ""
    source: str = ""


@dataclass
class Access(Entity):
    """A state of the unit that several checks share, with the minutes to open and to close it.

    ``attached`` is an instrument's place: its gates hold for connecting, and the unit may run while it is on.
    ``shut_for`` lists the burner states (lit, hot) before which it must be shut on the units of ``applies_to``.
    """

    open: float = 0.0
    close: float = 0.0
    inside: str = ""
    attached: bool = False
    shut_for: tuple[str, ...] = ()
    applies_to: Condition = ()
    gates: tuple[str, ...] = ()
    who: tuple[str, ...] = ()
    source: str = ""


@dataclass
class Tool(Entity):
    """A hand tool or an instrument. fixed, resolution, low and high in SI; percent of reading; digits of resolution."""

    kind: str = "hand-tool"
    quantity: str = ""
    low: Amount | None = None
    high: Amount | None = None
    resolution: Amount | None = None
    fixed: Amount | None = None
    percent: float = 0.0
    digits: float = 0.0
    source: str = ""
    note: str = ""


@dataclass(frozen=True)
class Fit:
    """A part for the units that meet a condition. price in USD, wait in minutes."""

    when: Condition
    item: str
    price: float
    wait: float
    note: str = ""


@dataclass
class Part(Entity):
    """A part by its role, with the item that fits each kind of unit."""

    source: str = ""
    fits: tuple[Fit, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Sign:
    """Said sideways: one expression of each group of ``all`` within so many words, and none of ``none`` near them.

    "@name" in a group stands for the expressions of a group or synonym of kb/words.yaml.
    """

    all: tuple[tuple[str, ...], ...]
    none: tuple[str, ...] = ()
    within: int = 20


@dataclass
class Emergency(Entity):
    """Danger: how it is told, what to do now, whom to call, what must hold before diagnosis."""

    phrases: tuple[str, ...] = ()
    signs: tuple[Sign, ...] = ()
    now: tuple[str, ...] = ()
    call: str = ""
    before: tuple[str, ...] = ()
    hazard: str = ""


@dataclass
class Refusal(Entity):
    """A request that would hurt someone: how it is told, why it is refused, and the right way."""

    phrases: tuple[str, ...] = ()
    signs: tuple[Sign, ...] = ()
    why: str = ""
    instead: tuple[str, ...] = ()
    hazard: str = ""


@dataclass(frozen=True)
class Words:
    """The words that owners use: synonyms by concept, expressions by system, groups for signs, common words."""

    synonyms: dict[str, list[str]] = field(default_factory=dict)
    systems: dict[str, list[str]] = field(default_factory=dict)
    groups: dict[str, list[str]] = field(default_factory=dict)
    common: tuple[str, ...] = ()
    places: dict[tuple, Place] = field(default_factory=dict, repr=False)


@dataclass
class Unit(Entity):
    """An invented unit: its data plate as written and in SI (choices as text)."""

    source: str = "demo"
    plate: dict[str, Any] = field(default_factory=dict)
    written: dict[str, str] = field(default_factory=dict)
    note: str = ""


@dataclass
class Fault(Entity):
    """The one thing that is wrong, at the level at which it is repaired. shows: chance that it shows in a check."""

    system: str = ""
    what: str = ""
    evidence: str = ""
    when: Condition = ()
    shows: float = 1.0
    caused_by: dict[str, str] = field(default_factory=dict)
    danger: str = ""


@dataclass
class FaultPage(Entity):
    """One file of kb/faults: the faults of a system, on one page."""

    summary: str = ""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True)
class Also:
    """Faults included from another symptom with a weight; ask: the check that asks for the other appliances."""

    weight: float
    ask: str = ""


@dataclass
class Symptom(Entity):
    """What the unit does wrong, as anyone can observe it.

    ``learned`` says which closed jobs its weights have counted, and keeps the weights judged before them.
    """

    system: str = ""
    applies_to: Condition = ()
    summary: str = ""
    phrases: tuple[str, ...] = ()
    weights: dict[str, float] = field(default_factory=dict)
    faults: dict[str, float] = field(default_factory=dict)
    source: str = ""
    also: dict[str, Also] = field(default_factory=dict)
    first: tuple[str, ...] = ()
    mistaken_for: dict[str, str] = field(default_factory=dict)
    normal: str = ""
    learned: dict[str, Any] = field(default_factory=dict)
