"""Writing a checked formula as JavaScript over ``v`` (values), ``t`` (tables) and ``F`` (formulas.js).

The output is safe inside a script file: numbers are written by repr, names are letters, digits and
underscores, texts are JSON in ASCII with ``<`` and ``>`` escaped.
"""

from __future__ import annotations

import json
import re

from sparkgap.dimensions import TEXT, TRUTH

from . import nodes as n

NAME = re.compile(r"[a-z][a-z0-9_]*\Z")


def script_json(value: object) -> str:
    """JSON that is also safe in a script element and a script file."""
    return json.dumps(value, allow_nan=False).replace("<", "\\u003c").replace(">", "\\u003e")


def write(node: n.Node) -> str:
    """The JavaScript expression of a node; it throws where Python's evaluation raises."""
    text = _write(node)
    return text if node.dimension in (TRUTH, TEXT) else f"F.finite({text})"


def _write(node: n.Node) -> str:
    return _WRITERS[type(node)](node)


def _number(node: n.Number) -> str:
    return f"({node.value!r})" if node.value < 0 else repr(node.value)


def _name(node: n.Name) -> str:
    if not NAME.match(node.id):
        raise ValueError(f"{node.id!r} is not a name that JavaScript may hold")
    return f"v.{node.id}"


def _arithmetic(node: n.Arithmetic) -> str:
    left, right = _write(node.left), _write(node.right)
    return f"F.divide({left}, {right})" if node.sign == "/" else f"({left} {node.sign} {right})"


def _compare(node: n.Compare) -> str:
    sign = {"==": "===", "!=": "!=="}.get(node.sign, node.sign)
    return f"({_write(node.left)} {sign} {_write(node.right)})"


def _logic(node: n.Logic) -> str:
    sign = " && " if node.word == "and" else " || "
    return f"({sign.join(map(_write, node.parts))})"


def _choose(node: n.Choose) -> str:
    return f"({_write(node.condition)} ? {_write(node.yes)} : {_write(node.no)})"


def _call(node: n.Call) -> str:
    return f"F.{node.function}({', '.join(map(_write, node.arguments))})"


def _from_table(node: n.FromTable) -> str:
    table, column = script_json(node.table), script_json(node.table_column)
    return f"F.{node.function}(t, {table}, {column}, {_write(node.key)})"


_WRITERS = {
    n.Number: _number,
    n.Text: lambda node: script_json(node.value),
    n.Name: _name,
    n.Negate: lambda node: f"(-{_write(node.part)})",
    n.Arithmetic: _arithmetic,
    n.WholePower: lambda node: f"F.wholePower({_write(node.base)}, {node.power})",
    n.Compare: _compare,
    n.Logic: _logic,
    n.Not: lambda node: f"(!{_write(node.part)})",
    n.Choose: _choose,
    n.Call: _call,
    n.FromTable: _from_table,
}
