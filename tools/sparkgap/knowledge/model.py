"""The knowledge as typed objects. Attribute names are the keys of the YAML; ids are unique within their kind.

Quantities are kept as the author wrote them (text) beside their SI magnitude, so that pages show the
written form and engines compute with the number. Everything here is plain data: reading is in
:mod:`sparkgap.knowledge.read`, the rules that hold between entities are in :mod:`sparkgap.knowledge.rules`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ..problems import Place, Problem


@dataclass(frozen=True)
class Amount:
    """A physical amount: text as written, quantity id, magnitude in SI base units."""

    text: str
    quantity: str
    si: float


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
    """A safety gate: a condition that must hold, how to see that it does, and what to do when it does not."""

    says: str = ""
    how: str = ""
    otherwise: str = ""
    who: tuple[str, ...] = ()
    holds: dict[str, str] = field(default_factory=dict)
    hazard: str = ""
    source: str = ""


@dataclass
class Access(Entity):
    """A state of the unit that several checks share, with the minutes to open and to close it."""

    open: float = 0.0
    close: float = 0.0
    inside: str = ""
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


@dataclass
class Emergency(Entity):
    """Danger: the phrases it is told in, what to do now, whom to call, what must hold before diagnosis."""

    phrases: tuple[str, ...] = ()
    now: tuple[str, ...] = ()
    call: str = ""
    before: tuple[str, ...] = ()
    hazard: str = ""


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


@dataclass(frozen=True)
class Also:
    """Faults included from another symptom with a weight; ask: the check that asks for the other appliances."""

    weight: float
    ask: str = ""


@dataclass
class Symptom(Entity):
    """What the unit does wrong, as anyone can observe it."""

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


@dataclass
class CalcInput:
    """An input of a calculator; plate names the data-plate value it comes from."""

    title: str
    quantity: str
    unit: str
    default: str = ""
    low: str = ""
    high: str = ""
    plate: str = ""
    help: str = ""


@dataclass
class CalcStep:
    """A named intermediate value."""

    expression: str
    title: str = ""


@dataclass
class CalcOutput:
    """A result; digits is the number of significant digits shown."""

    title: str
    quantity: str
    unit: str
    expression: str
    digits: int = 3
    says: str = ""


@dataclass
class Example:
    """A worked example: quantities given and got, with the source and the relative tolerance."""

    title: str
    source: str
    given: dict[str, str]
    gives: dict[str, str]
    within: float = 0.005


@dataclass
class Calculator(Entity):
    """A calculator: inputs, constants, tables, steps, outputs and worked examples."""

    summary: str = ""
    inputs: dict[str, CalcInput] = field(default_factory=dict)
    constants: tuple[str, ...] = ()
    tables: tuple[str, ...] = ()
    steps: dict[str, CalcStep] = field(default_factory=dict)
    outputs: dict[str, CalcOutput] = field(default_factory=dict)
    examples: tuple[Example, ...] = ()
    notes: str = ""
    source: str = ""


@dataclass(frozen=True)
class Band:
    """Limits for the units that meet a condition; a missing limit is infinite."""

    when: Condition = ()
    low: Amount | None = None
    high: Amount | None = None


@dataclass
class Tolerance(Entity):
    """The band a reading must lie in, with its source; bands has one entry a variant."""

    procedure: str = ""
    quantity: str = ""
    tool: str = ""
    source: str = ""
    note: str = ""
    safety: bool = False
    bands: tuple[Band, ...] = ()

    @property
    def judged(self) -> bool:
        """Whether there is a limit at all; a tolerance without one is a plain reading for a judge."""
        return any(band.low or band.high for band in self.bands)


@dataclass(frozen=True)
class Minutes:
    """How long an act takes: a number, or a calculator's output for the unit plus a number."""

    typical: float
    calculator: str = ""
    output: str = ""
    plus: float = 0.0

    def as_json(self) -> float | dict[str, Any]:
        """The minutes for the engines."""
        if not self.calculator:
            return self.typical
        return {"calculator": self.calculator, "output": self.output, "plus": self.plus, "typical": self.typical}


@dataclass
class Answer:
    """One of the few named outcomes of a check. likelihood: fault -> word or number."""

    id: str
    says: str
    means: str = ""
    likelihood: dict[str, str | float] = field(default_factory=dict)
    blocks: bool = False
    then: str = ""


@dataclass
class Act(Entity):
    """What checks and remedies share: who may do it, what it opens, which gates hold, how long it takes."""

    procedure: str = ""
    who: tuple[str, ...] = ()
    tier: int = 0
    minutes: Minutes = Minutes(0.0)
    access: str = ""
    closes: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    requires: dict[str, str] = field(default_factory=dict)
    leaves: dict[str, str] = field(default_factory=dict)
    applies_to: Condition = ()
    why: str = ""
    how: str = ""
    never: str = ""

    @property
    def gid(self) -> str:
        """The global id, procedure/name."""
        return f"{self.procedure}/{self.id}"


@dataclass
class Check(Act):
    """An act that tells faults apart; it ends in one of its answers. misses: chance that it passes as proof wrongly."""

    ask: str = ""
    ask_owner: str = ""
    good: str = ""
    clear: str = ""
    otherwise: dict[str, float] | None = None
    measure: tuple[str, ...] = ()
    judge: str = ""
    limit: str = ""
    misses: float | None = None
    answers: dict[str, Answer] = field(default_factory=dict)


@dataclass
class Remedy(Act):
    """The repair that ends faults, with its part and its proof. fails: chance that it does not end the fault."""

    ends: tuple[str, ...] = ()
    part: str = ""
    proof: str = ""
    fails: float | None = None
    after: str = ""


@dataclass
class Placement:
    """A directive in a procedure's text: kind (gate, check, remedy, tolerance, calculator), target id and place."""

    kind: str
    target: str
    place: Place


@dataclass
class Procedure(Entity):
    """One Markdown file: checks, remedies, tolerances, gates, tools and the words around them."""

    system: str = ""
    revision: int = 1
    reviewed: str = ""
    summary: str = ""
    applies_to: Condition = ()
    symptoms: tuple[str, ...] = ()
    safety_gates: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    tolerances: dict[str, Tolerance] = field(default_factory=dict)
    checks: dict[str, Check] = field(default_factory=dict)
    remedies: dict[str, Remedy] = field(default_factory=dict)
    placements: list[Placement] = field(default_factory=list)
    body: str = ""
    body_line: int = 1


@dataclass
class Knowledge:
    """Everything that kb/ and procedures/ say, and the problems found in saying it."""

    root: Any
    title: str = ""
    demo: str = ""
    digest: str = ""
    plate: dict[str, PlateValue] = field(default_factory=dict)
    constants: dict[str, Constant] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    gates: dict[str, Gate] = field(default_factory=dict)
    access: dict[str, Access] = field(default_factory=dict)
    tools: dict[str, Tool] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    emergencies: dict[str, Emergency] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    symptoms: dict[str, Symptom] = field(default_factory=dict)
    calculators: dict[str, Calculator] = field(default_factory=dict)
    procedures: dict[str, Procedure] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)

    @property
    def checks(self) -> dict[str, Check]:
        """All checks by global id."""
        return {c.gid: c for p in self.procedures.values() for c in p.checks.values()}

    @property
    def remedies(self) -> dict[str, Remedy]:
        """All remedies by global id."""
        return {r.gid: r for p in self.procedures.values() for r in p.remedies.values()}

    def tolerance(self, procedure: str, tolerance: str) -> Tolerance | None:
        """A tolerance by its procedure and local id, or by procedure/id."""
        if "/" in tolerance:
            procedure, tolerance = tolerance.split("/", 1)
        owner = self.procedures.get(procedure)
        return owner.tolerances.get(tolerance) if owner else None
