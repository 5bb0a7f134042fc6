"""The knowledge as typed objects. Attribute names are the keys of the YAML; ids are unique within their kind.

Everything here is plain data: reading is in :mod:`sparkgap.knowledge.read`, the rules that hold between
entities are in :mod:`sparkgap.knowledge.rules`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from ..problems import Problem
from .acts import Act, Answer, Band, Check, Minutes, Placement, Procedure, Remedy, Tolerance
from .calculations import CalcInput, CalcOutput, CalcStep, Calculator, Example
from .entities import (
    Access,
    Also,
    Amount,
    Condition,
    Constant,
    Emergency,
    Entity,
    Fault,
    FaultPage,
    Fit,
    Gate,
    Part,
    PlateValue,
    Refusal,
    Sign,
    Source,
    Symptom,
    Table,
    Term,
    Tool,
    Unit,
    Words,
)

if TYPE_CHECKING:
    from ..formulas import Program
    from ..formulas.tables import TableData

__all__ = [
    "Access", "Act", "Also", "Amount", "Answer", "Band", "CalcInput", "CalcOutput", "CalcStep", "Calculator",
    "Check", "Condition", "Constant", "Emergency", "Entity", "Example", "Fault", "FaultPage", "Fit", "Gate",
    "Knowledge", "Minutes", "Part", "Placement", "PlateValue", "Procedure", "Refusal", "Remedy", "Sign", "Source",
    "Symptom", "Table", "Term", "Tolerance", "Tool", "Unit", "Words",
]


COMPILED = ("programs", "table_data")  # of the properties of Knowledge those that are no plain data


@dataclass
class Knowledge:
    """Everything that kb/ and procedures/ say, and the problems found in saying it.

    A file that cannot be used is left out: ``dropped`` has its path, ``broken`` the ids that it would have
    declared, ``hidden`` the kinds (gates, faults, …) of which some ids could not even be seen.
    """

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
    refusals: dict[str, Refusal] = field(default_factory=dict)
    words: Words = field(default_factory=Words)
    units: dict[str, Unit] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    fault_pages: dict[str, FaultPage] = field(default_factory=dict)
    symptoms: dict[str, Symptom] = field(default_factory=dict)
    calculators: dict[str, Calculator] = field(default_factory=dict)
    procedures: dict[str, Procedure] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)
    dropped: set[str] = field(default_factory=set)
    hidden: set[str] = field(default_factory=set)

    @cached_property
    def checks(self) -> dict[str, Check]:
        """All checks by global id, gathered once: ask for them when everything is read."""
        return {c.gid: c for p in self.procedures.values() for c in p.checks.values()}

    @cached_property
    def remedies(self) -> dict[str, Remedy]:
        """All remedies by global id, gathered once like the checks."""
        return {r.gid: r for p in self.procedures.values() for r in p.remedies.values()}

    @cached_property
    def table_data(self) -> dict[str, TableData]:
        """The tables as expressions read them, made once. Raises FormulaError for one that cannot be read."""
        from ..formulas.tables import all_tables  # here: most that hold knowledge compute nothing

        return all_tables(self.tables)

    @cached_property
    def programs(self) -> dict[str, Program]:
        """The calculators as programs, compiled once; what is wrong with one stands in its ``problems``."""
        from ..formulas import compile_calculator

        return {name: compile_calculator(one, self.constants, self.tables) for name, one in self.calculators.items()}

    def tolerance(self, procedure: str, tolerance: str) -> Tolerance | None:
        """A tolerance by its procedure and local id, or by procedure/id."""
        if "/" in tolerance:
            procedure, tolerance = tolerance.split("/", 1)
        owner = self.procedures.get(procedure)
        return owner.tolerances.get(tolerance) if owner else None
