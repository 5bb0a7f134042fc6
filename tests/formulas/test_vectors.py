"""The shared vectors: every expression gives the stated value in Python and, emitted, in JavaScript."""

from __future__ import annotations

import json
import math
from pathlib import Path
from types import SimpleNamespace

import pytest
from sparkgap.formulas import FormulaError, compile_expression
from sparkgap.formulas.tables import all_tables

from tests.js import engine

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "formulas.json").read_text(encoding="utf-8"))
NAMES = {name: quantity for name, (quantity, _) in VECTORS["values"].items()}
VALUES = {name: value for name, (_, value) in VECTORS["values"].items()}
TABLES = all_tables({id: SimpleNamespace(**table) for id, table in VECTORS["tables"].items()})


@pytest.fixture(scope="module")
def browser():
    script = engine("formulas.js")
    tables = {id: table.as_json() for id, table in TABLES.items()}
    script.call("(v, t) => { globalThis.v = v; globalThis.t = t; globalThis.F = Sparkgap.formulas; }", VALUES, tables)
    return script


def in_browser(browser, source: str):
    return browser.call(f"() => {{ try {{ return {source}; }} catch (e) {{ return {{error: e.message}}; }} }}")


def agrees(value, row) -> bool:
    if isinstance(row["value"], bool):
        return value is row["value"]
    return math.isclose(value, row["value"], rel_tol=row.get("within", 0), abs_tol=0)


@pytest.mark.parametrize("row", VECTORS["vectors"], ids=lambda row: row["text"])
def test_vector(row, browser):
    expression = compile_expression(row["text"], NAMES, TABLES)
    script = in_browser(browser, expression.javascript())
    if "error" in row:
        with pytest.raises(FormulaError) as caught:
            expression.evaluate(VALUES)
        assert caught.value.message == row["error"]
        assert caught.value.column >= 1
        assert script == {"error": row["error"]}
    else:
        assert expression.dimension.text() == row["dimension"]
        assert agrees(expression.evaluate(VALUES), row)
        assert agrees(script, row)
