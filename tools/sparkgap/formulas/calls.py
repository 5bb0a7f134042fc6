"""Building function calls: arity, dimensions, unit and table arguments."""

from __future__ import annotations

import ast
import difflib
from collections.abc import Mapping
from fractions import Fraction

from sparkgap.dimensions import PLAIN, TEMPERATURE, TEMPERATURE_DIFFERENCE, TEXT, Dimension
from sparkgap.kinds import QuantityError, words
from sparkgap.quantities import unit_of
from sparkgap.units import Unit

from . import dimensions as rules
from . import nodes as n
from .errors import FormulaError
from .functions import FUNCTIONS, WRITTEN
from .tables import TableData


class CallBuilder:
    """The part of the builder that reads calls."""

    names: Mapping[str, Dimension]
    tables: Mapping[str, TableData]

    def build(self, tree: ast.expr) -> n.Node:
        """The node of a tree."""
        raise NotImplementedError

    def quantity(self, tree: ast.Call) -> n.Node:
        """The node of a quantity literal."""
        raise NotImplementedError

    def _build_call(self, tree: ast.Call) -> n.Node:
        name = tree.func.id if isinstance(tree.func, ast.Name) else ""
        if name not in WRITTEN:
            near = difflib.get_close_matches(name, WRITTEN, 1)
            fix = f"did you mean {near[0]}?" if near else f"the functions are {', '.join(sorted(WRITTEN))}"
            raise FormulaError(f'"{name}" is not a function of the language', tree.col_offset, fix)
        if name == "q":
            return self.quantity(tree)
        if name in ("interpolate", "lookup"):
            return self._from_table(tree, name)
        if name in ("magnitude", "of"):
            return self._with_unit(tree, name)
        return self._plain_call(tree, name)

    def _plain_call(self, tree: ast.Call, name: str) -> n.Node:
        function = FUNCTIONS[name]
        if len(tree.args) < 2 if function.arguments is None else len(tree.args) != function.arguments:
            wanted = "two or more values" if function.arguments is None else "one value"
            raise FormulaError(f"{name} takes {wanted}", tree.col_offset, f"{name} is {function.says}")
        arguments = tuple(self.build(argument) for argument in tree.args)
        for argument in arguments:
            rules.numeric(argument.dimension, argument.column)
            if function.takes == "plain":
                _need_plain(argument, name)
        dimension = arguments[0].dimension
        for argument in arguments[1:]:
            dimension = rules.together(dimension, argument.dimension, f"take the {name} of", argument.column)
        if function.takes == "any":
            rules.scale(dimension, f"take the {name} of", arguments[0].column)
        if function.gives == "root":
            dimension = rules.raise_to(dimension, Fraction(1, 2), tree.col_offset, arguments[0].column)
        return n.Call(tree.col_offset, dimension, name, arguments)

    def _with_unit(self, tree: ast.Call, name: str) -> n.Node:
        if len(tree.args) != 2:
            raise FormulaError(f"{name} takes two arguments", tree.col_offset, FUNCTIONS[name].says)
        part = self.build(tree.args[0])
        rules.numeric(part.dimension, part.column)
        unit = _unit(tree.args[1])
        if name == "of":
            _need_plain(part, name)
            dimension = unit.dimension
        else:
            dimension = PLAIN
            if not _measures(unit, part.dimension):
                message = f"{unit.id} does not measure {words(part.dimension)}"
                fix = f"{unit.id} is for {words(unit.dimension)}"
                raise FormulaError(message, tree.args[1].col_offset, fix)
        factor, offset = (n.Number(tree.col_offset, PLAIN, value) for value in (unit.factor, unit.offset))
        return n.Call(tree.col_offset, dimension, name, (part, factor, offset))

    def _from_table(self, tree: ast.Call, name: str) -> n.Node:
        order = "table, column, x" if name == "interpolate" else "table, row, column"
        if len(tree.args) != 3:
            raise FormulaError(f"{name} takes three arguments", tree.col_offset, f"write {name}({order})")
        table = self._table(tree.args[0])
        column_at, key_at = (1, 2) if name == "interpolate" else (2, 1)
        column = _word(tree.args[column_at], table.columns, "column of the table")
        key = self.build(tree.args[key_at])
        rules.together(table.key, key.dimension, "look up by", key.column)
        if name == "interpolate" and (table.key == TEXT or not table.rising):
            message = f"the keys of {table.id} do not rise, so nothing lies between them"
            raise FormulaError(message, tree.args[0].col_offset, "use lookup, or sort the rows")
        return n.FromTable(tree.col_offset, table.dimensions[column], name, table.id, column, key)

    def _table(self, tree: ast.expr) -> TableData:
        known = {**{id.replace("-", "_"): id for id in self.tables}, **{id: id for id in self.tables}}
        return self.tables[known[_word(tree, known, "table")]]

    def texts(self, tree: ast.Call, count: int) -> list[str]:
        """The arguments of a call that takes quoted texts only."""
        texts = [a.value for a in tree.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
        if len(texts) != count or len(tree.args) != count:
            raise FormulaError("q takes one quoted quantity", tree.col_offset, 'write q("8.33 lb/gal")')
        return texts


def _need_plain(node: n.Node, name: str) -> None:
    if not node.dimension.plain:
        message = f"{name} takes a plain number, not {words(node.dimension)}"
        raise FormulaError(message, node.column, 'divide by a reference or use magnitude(x, "unit")')


def _measures(unit: Unit, dimension: Dimension) -> bool:
    kelvin = unit.id == "K" and dimension in (TEMPERATURE, TEMPERATURE_DIFFERENCE)
    return kelvin or unit.dimension.fits(dimension)


def _unit(tree: ast.expr) -> Unit:
    if not (isinstance(tree, ast.Constant) and isinstance(tree.value, str)):
        raise FormulaError("a unit is written in quotes", tree.col_offset, 'e.g. magnitude(x, "psi")')
    try:
        return unit_of(tree.value)
    except QuantityError as error:
        raise FormulaError(error.message, tree.col_offset, error.fix) from None


def _word(tree: ast.expr, known: Mapping[str, object], what: str) -> str:
    """A table or column, quoted or as a bare name."""
    word = tree.id if isinstance(tree, ast.Name) else tree.value if isinstance(tree, ast.Constant) else None
    if not isinstance(word, str) or word not in known:
        near = ", ".join(known) or "none"
        raise FormulaError(f'"{word}" is not a {what}', tree.col_offset, f"use one of: {near}")
    return word
