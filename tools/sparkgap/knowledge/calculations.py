"""Calculators as data: inputs, steps, outputs and worked examples."""

from __future__ import annotations

from dataclasses import dataclass, field

from .entities import Entity


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
