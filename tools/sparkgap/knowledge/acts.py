"""What a procedure declares: tolerances, checks, remedies, and where its text places them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ..problems import Place
from .entities import Amount, Condition, Entity


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
    part_count: int = 1
    proof: str = ""
    steps: tuple[str, ...] = ()
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
