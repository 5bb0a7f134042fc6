"""The checked form of a formula, from which Python evaluates and JavaScript is written."""

from __future__ import annotations

from dataclasses import dataclass

from sparkgap.dimensions import Dimension


@dataclass(frozen=True)
class Node:
    """A part of a formula: the column where it starts and what it measures."""

    column: int
    dimension: Dimension


@dataclass(frozen=True)
class Number(Node):
    """A constant in SI."""

    value: float


@dataclass(frozen=True)
class Text(Node):
    """A quoted word: a plate value or the row of a table."""

    value: str


@dataclass(frozen=True)
class Name(Node):
    """A value that is given."""

    id: str


@dataclass(frozen=True)
class Negate(Node):
    """The value with the other sign."""

    part: Node


@dataclass(frozen=True)
class Arithmetic(Node):
    """One of + - * / between two numbers."""

    sign: str
    left: Node
    right: Node


@dataclass(frozen=True)
class WholePower(Node):
    """A product of equal factors; both languages multiply one by one, because their powers differ."""

    base: Node
    power: int


@dataclass(frozen=True)
class Compare(Node):
    """One of < <= > >= == != between two values."""

    sign: str
    left: Node
    right: Node


@dataclass(frozen=True)
class Logic(Node):
    """``and`` or ``or`` between yes-or-no values, left to right, stopping when decided."""

    word: str
    parts: tuple[Node, ...]


@dataclass(frozen=True)
class Not(Node):
    """The opposite of a yes or no."""

    part: Node


@dataclass(frozen=True)
class Choose(Node):
    """``yes if condition else no``; only the chosen side is computed."""

    condition: Node
    yes: Node
    no: Node


@dataclass(frozen=True)
class Call(Node):
    """A function of numbers, by its name in :mod:`.functions`."""

    function: str
    arguments: tuple[Node, ...]


@dataclass(frozen=True)
class FromTable(Node):
    """``interpolate`` or ``lookup``: a column of a table at a key."""

    function: str
    table: str
    table_column: str
    key: Node
