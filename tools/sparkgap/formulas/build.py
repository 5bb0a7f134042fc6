"""From the syntax tree to checked nodes: every name known, every dimension fitting."""

from __future__ import annotations

import ast
import difflib
import math
from collections.abc import Iterable, Mapping
from fractions import Fraction

from sparkgap.dimensions import PLAIN, TEXT, TRUTH, Dimension
from sparkgap.kinds import QuantityError, words
from sparkgap.quantities import parse_quantity

from . import dimensions as rules
from . import nodes as n
from .calls import CallBuilder
from .errors import FormulaError
from .tables import TableData

_SIGNS = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_SUMS = {"+": rules.add, "-": rules.subtract}
_PRODUCTS = {"*": rules.multiply, "/": rules.divide}
_COMPARISONS = {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!="}
_LARGEST_WHOLE = 8


class Builder(CallBuilder):
    """Builds the nodes of one expression over the given names and tables."""

    def __init__(self, names: Mapping[str, Dimension], tables: Mapping[str, TableData]) -> None:
        self.names = names
        self.tables = tables

    def build(self, tree: ast.expr) -> n.Node:
        """The node of a tree that may stand for a value."""
        return getattr(self, f"_build_{type(tree).__name__.lower()}")(tree)

    def _build_constant(self, tree: ast.Constant) -> n.Node:
        if isinstance(tree.value, str):
            return n.Text(tree.col_offset, TEXT, tree.value)
        if isinstance(tree.value, bool) or not isinstance(tree.value, int | float):
            message = f"{tree.value!r} is not part of the language"
            raise FormulaError(message, tree.col_offset, "write a number")
        return n.Number(tree.col_offset, PLAIN, _finite(tree.value, tree.col_offset))

    def _build_name(self, tree: ast.Name) -> n.Node:
        if tree.id not in self.names:
            raise FormulaError(f'"{tree.id}" is not a name here', tree.col_offset, offer(tree.id, self.names))
        return n.Name(tree.col_offset, self.names[tree.id], tree.id)

    def _build_unaryop(self, tree: ast.UnaryOp) -> n.Node:
        part = self.build(tree.operand)
        if isinstance(tree.op, ast.Not):
            rules.truth(part.dimension, part.column)
            return n.Not(tree.col_offset, TRUTH, part)
        rules.numeric(part.dimension, part.column)
        if isinstance(tree.op, ast.UAdd):
            return part
        rules.scale(part.dimension, "negate", part.column)
        return n.Negate(tree.col_offset, part.dimension, part)

    def _build_binop(self, tree: ast.BinOp) -> n.Node:
        left = self._number(tree.left)
        if isinstance(tree.op, ast.Pow):
            return self._power(tree, left)
        right = self._number(tree.right)
        sign = _SIGNS[type(tree.op)]
        if sign in _SUMS:
            dimension = _SUMS[sign](left.dimension, right.dimension, right.column)
        else:
            dimension = _PRODUCTS[sign](left.dimension, right.dimension, right.column, left.column)
        return n.Arithmetic(tree.col_offset, dimension, sign, left, right)

    def _power(self, tree: ast.BinOp, base: n.Node) -> n.Node:
        column = tree.right.col_offset
        exponent = constant(tree.right)
        dimension = rules.raise_to(base.dimension, exponent, column, base.column)
        if exponent is None:
            by = self._number(tree.right)
            if not by.dimension.plain:
                raise FormulaError(f"a power cannot be {words(by.dimension)}", column, "use a plain number")
            return n.Call(tree.col_offset, PLAIN, "power", (base, by))
        if exponent.denominator == 1 and abs(exponent) <= _LARGEST_WHOLE:
            return n.WholePower(tree.col_offset, dimension, base, int(exponent))
        if exponent == Fraction(1, 2):
            return n.Call(tree.col_offset, dimension, "sqrt", (base,))
        by = n.Number(column, PLAIN, _finite(exponent, column))
        return n.Call(tree.col_offset, dimension, "power", (base, by))

    def _build_compare(self, tree: ast.Compare) -> n.Node:
        if len(tree.ops) > 1:
            raise FormulaError("comparisons do not chain", tree.col_offset, "write a < b and b < c")
        left, right = self.build(tree.left), self.build(tree.comparators[0])
        sign = _COMPARISONS[type(tree.ops[0])]
        common = rules.together(left.dimension, right.dimension, "compare", right.column)
        if common == TRUTH or (common == TEXT and sign not in ("==", "!=")):
            raise FormulaError(f"cannot compare {words(common)} with {sign}", right.column, "compare numbers")
        return n.Compare(tree.col_offset, TRUTH, sign, left, right)

    def _build_boolop(self, tree: ast.BoolOp) -> n.Node:
        parts = tuple(self.build(value) for value in tree.values)
        for part in parts:
            rules.truth(part.dimension, part.column)
        return n.Logic(tree.col_offset, TRUTH, "and" if isinstance(tree.op, ast.And) else "or", parts)

    def _build_ifexp(self, tree: ast.IfExp) -> n.Node:
        condition, yes, no = self.build(tree.test), self.build(tree.body), self.build(tree.orelse)
        rules.truth(condition.dimension, condition.column)
        dimension = rules.together(yes.dimension, no.dimension, "choose between", no.column)
        return n.Choose(tree.col_offset, dimension, condition, yes, no)

    def _number(self, tree: ast.expr) -> n.Node:
        node = self.build(tree)
        rules.numeric(node.dimension, node.column)
        return node

    def quantity(self, tree: ast.Call) -> n.Node:
        """q("8.33 lb/gal")."""
        (text,) = self.texts(tree, 1)
        try:
            quantity = parse_quantity(text)
        except QuantityError as error:
            raise FormulaError(error.message, tree.col_offset, error.fix) from None
        return n.Number(tree.col_offset, quantity.dimension, quantity.value_si)


def constant(tree: ast.expr) -> Fraction | None:
    """The value of a tree that holds numbers only (without powers), else None."""
    if isinstance(tree, ast.Constant) and type(tree.value) in (int, float):
        _finite(tree.value, tree.col_offset)
        return Fraction(repr(tree.value))
    if isinstance(tree, ast.UnaryOp) and isinstance(tree.op, ast.UAdd | ast.USub):
        part = constant(tree.operand)
        return part if part is None or isinstance(tree.op, ast.UAdd) else -part
    if isinstance(tree, ast.BinOp) and type(tree.op) in _SIGNS:
        left, right = constant(tree.left), constant(tree.right)
        if left is None or right is None:
            return None
        return _fold(_SIGNS[type(tree.op)], left, right, tree.right.col_offset)
    return None


def _fold(sign: str, left: Fraction, right: Fraction, column: int) -> Fraction:
    if sign == "/" and right == 0:
        raise FormulaError("this divides by zero", column, "use another power")
    return {
        "+": lambda: left + right,
        "-": lambda: left - right,
        "*": lambda: left * right,
        "/": lambda: left / right,
    }[sign]()


def _finite(value: float | Fraction, column: int) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise FormulaError("this number is too large", column, "write a number that can be measured")
    return number


def offer(wrong: str, known: Iterable[str]) -> str:
    """A fix that names the nearest known names."""
    near = difflib.get_close_matches(wrong, list(known), 3)
    if near:
        return f"did you mean {' or '.join(near)}?"
    return f"use one of: {', '.join(sorted(known)) or 'none'}"
