"""A compiled expression: its dimension, its value in Python, its text in JavaScript."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sparkgap.dimensions import Dimension
from sparkgap.kinds import dimension_of

from . import nodes as n
from .build import Builder
from .evaluate import Value, evaluate
from .javascript import write
from .parse import syntax_tree
from .tables import TableData, all_tables


@dataclass(frozen=True)
class Expression:
    """A checked expression, ready to run."""

    text: str
    root: n.Node
    tables: Mapping[str, TableData] = field(default_factory=dict)

    @property
    def dimension(self) -> Dimension:
        """What the expression yields."""
        return self.root.dimension

    def evaluate(self, values_si: Mapping[str, Value], tables: Mapping[str, Any] | None = None) -> Value:
        """The SI magnitude (or yes or no) for values in SI; tables default to those of compilation.

        Raises FormulaError for a missing value, a division by zero, an overflow, a key outside a table.
        """
        return evaluate(self.root, values_si, self.tables if tables is None else all_tables(tables))

    def javascript(self) -> str:
        """A JavaScript expression over ``v`` (values in SI), ``t`` (tables) and ``F`` (Sparkgap.formulas)."""
        return write(self.root)


def compile_expression(
    text: str, names: Mapping[str, Dimension | str], tables: Mapping[str, Any] | None = None
) -> Expression:
    """Parse and check an expression over names with their dimensions (or quantity ids) and tables by id.

    Raises FormulaError with message, column and fix.
    """
    known = {name: dimension_of(what) if isinstance(what, str) else what for name, what in names.items()}
    data = all_tables(tables)
    return Expression(text, Builder(known, data).build(syntax_tree(text)), data)
