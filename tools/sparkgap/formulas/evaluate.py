"""Computing a checked formula in Python, operation by operation as the emitted JavaScript does."""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping

from . import nodes as n
from .errors import FormulaError
from .functions import FUNCTIONS, divide, whole_power
from .tables import TableData, interpolate, lookup

Value = float | bool | str

_ARITHMETIC = {"+": operator.add, "-": operator.sub, "*": operator.mul, "/": divide}
_COMPARE = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}


class Evaluation:
    """One evaluation over values in SI and tables."""

    def __init__(self, values: Mapping[str, Value], tables: Mapping[str, TableData]) -> None:
        self.values = values
        self.tables = tables

    def of(self, node: n.Node) -> Value:
        """The value of a node. What cannot be computed raises FormulaError with the node's column."""
        try:
            return getattr(self, f"_{type(node).__name__.lower()}")(node)
        except FormulaError as error:
            if error.column == 0:
                error.column = node.column
            raise

    def _number(self, node: n.Number) -> float:
        return node.value

    def _text(self, node: n.Text) -> str:
        return node.value

    def _name(self, node: n.Name) -> Value:
        if node.id not in self.values:
            raise FormulaError(f"{node.id} has no value", node.column, "give it one")
        value = self.values[node.id]
        return value if isinstance(value, str) else finite(float(value))

    def _negate(self, node: n.Negate) -> float:
        return -self.of(node.part)

    def _arithmetic(self, node: n.Arithmetic) -> float:
        left, right = self.of(node.left), self.of(node.right)
        if node.sign == "/":
            left, right = finite(left), finite(right)
        return _ARITHMETIC[node.sign](left, right)

    def _wholepower(self, node: n.WholePower) -> float:
        return whole_power(finite(self.of(node.base)), node.power)

    def _compare(self, node: n.Compare) -> bool:
        return _COMPARE[node.sign](self.of(node.left), self.of(node.right))

    def _logic(self, node: n.Logic) -> bool:
        decide = all if node.word == "and" else any
        return decide(self.of(part) for part in node.parts)

    def _not(self, node: n.Not) -> bool:
        return not self.of(node.part)

    def _choose(self, node: n.Choose) -> Value:
        return self.of(node.yes if self.of(node.condition) else node.no)

    def _call(self, node: n.Call) -> float:
        return FUNCTIONS[node.function].compute(*(finite(self.of(part)) for part in node.arguments))

    def _fromtable(self, node: n.FromTable) -> float:
        key = self.of(node.key)
        read = interpolate if node.function == "interpolate" else lookup
        return read(self.tables[node.table], node.table_column, key if isinstance(key, str) else finite(key))


def finite(value: float) -> float:
    """The value, unless it has grown beyond what can be computed."""
    if not math.isfinite(value):
        raise FormulaError("the result is too large to compute", 0, "check the inputs")
    return value


def evaluate(node: n.Node, values: Mapping[str, Value], tables: Mapping[str, TableData]) -> Value:
    """The value of a formula: a finite SI magnitude, or a yes or no. Raises FormulaError."""
    result = Evaluation(values, tables).of(node)
    if isinstance(result, float) and not math.isfinite(result):
        raise FormulaError("the result is too large to compute", node.column, "check the inputs")
    return result
