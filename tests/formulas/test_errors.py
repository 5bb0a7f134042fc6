"""What is refused, where, and what the author is told to do instead."""

from __future__ import annotations

import time
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sparkgap.formulas import FormulaError, compile_expression

NAMES = {
    "volume": "volume",
    "mass": "mass",
    "start": "temperature",
    "rise": "temperature-difference",
    "line": "gauge-pressure",
    "air": "absolute-pressure",
    "heat": "heating-value",
    "fuel": "choice",
    "x": "ratio",
}
TABLES = {
    "bores": SimpleNamespace(
        key=("bore", "length"), columns={"flow": "volume-flow"}, rows=[[0.002, 1.0], [0.001, 2.0]]
    ),
}
SHAPES = 'use a temperature difference, or magnitude(x, "K")'
SAME = "bring both sides to one dimension"
PLAINLY = 'divide by a reference or use magnitude(x, "unit")'
AVERAGE = "add a temperature difference, or average with a + (b - a) / 2"
CONSTANT = "use a constant power, or take the number with magnitude()"
MISSING = "look for a missing operator, bracket or quotation mark"
RISING = "the keys of bores do not rise, so nothing lies between them"
FIRST = 'take the number with magnitude(x, "unit") first'
PARTS = "use names, numbers, + - * / ** ( ) and functions"
MAGNITUDE = 'take the number with magnitude(x, "unit") and give it back a unit with of(number, "unit")'

REFUSED = [
    ("volume + mass", 10, "cannot add volume and mass", SAME),
    ("mass - volume", 8, "cannot subtract mass and volume", SAME),
    ("  x\n+ volume", 7, "cannot add a plain number and volume", SAME),
    ("volume > mass", 10, "cannot compare volume and mass", SAME),
    ("x if x > 1 else mass", 17, "cannot choose between a plain number and mass", SAME),
    ("max(volume, mass)", 13, "cannot take the max of volume and mass", SAME),
    ("volume * mass + x", 17, "cannot add m³·kg and a plain number", SAME),
    ("start + start", 9, "cannot add temperature and temperature", AVERAGE),
    ("rise - start", 8, "cannot subtract temperature difference and temperature", MAGNITUDE),
    ("start > rise", 9, "cannot compare temperature and temperature difference", MAGNITUDE),
    ("2 * start", 5, "cannot multiply temperature", SHAPES),
    ("start / x", 1, "cannot divide temperature", SHAPES),
    ("start ** 2", 1, "cannot raise temperature", SHAPES),
    ("-start", 2, "cannot negate temperature", SHAPES),
    ("abs(start)", 5, "cannot take the abs of temperature", SHAPES),
    ("line + air", 8, "cannot add gauge pressure and absolute pressure", MAGNITUDE),
    ("line < air", 8, "cannot compare gauge pressure and absolute pressure", MAGNITUDE),
    ("air - line", 7, "cannot subtract absolute pressure and gauge pressure", MAGNITUDE),
    ("line + heat", 8, "cannot add gauge pressure and heating value", MAGNITUDE),
    ("volume ** x", 11, "cannot raise volume to a power that changes", CONSTANT),
    ("volume ** 0.381", 11, "cannot raise volume to the power 0.381", FIRST),
    ("volume ** 13", 11, "cannot raise volume to the power 13", FIRST),
    ("x ** volume", 6, "a power cannot be volume", "use a plain number"),
    ("x ** (1 / 0)", 11, "this divides by zero", "use another power"),
    ("exp(volume)", 5, "exp takes a plain number, not volume", PLAINLY),
    ("floor(rise)", 7, "floor takes a plain number, not temperature difference", PLAINLY),
    ("of(volume, 'L')", 4, "of takes a plain number, not volume", PLAINLY),
    ("magnitude(volume, 'psi')", 19, "psi does not measure volume", "psi is for pressure"),
    ("magnitude(rise, 'degF')", 17, "degF does not measure temperature difference", "degF is for temperature"),
    ("magnitude(x, y)", 14, "a unit is written in quotes", 'e.g. magnitude(x, "psi")'),
    ("magnitude(x, 'cfm')", 14, '"cfm" is not a unit that Sparkgap knows', "write ft3/min for cubic feet a minute"),
    ("magnitude(x)", 1, "magnitude takes two arguments", 'magnitude(x, "unit"): the number of x in a unit'),
    ("x + q('5 cfm')", 5, '"cfm" is not a unit that Sparkgap knows', "write ft3/min for cubic feet a minute"),
    ("q(x)", 1, "q takes one quoted quantity", 'write q("8.33 lb/gal")'),
    ("sqrt(x, x)", 1, "sqrt takes one value", "sqrt is square root"),
    ("min(x)", 1, "min takes two or more values", "min is the least of two or more"),
    ("x if x else 1", 6, "a condition is needed here, not a plain number", "compare, e.g. x > 0"),
    ("not x", 5, "a condition is needed here, not a plain number", "compare, e.g. x > 0"),
    ("x > 1 and x", 11, "a condition is needed here, not a plain number", "compare, e.g. x > 0"),
    ("(x > 1) + 1", 2, "cannot compute with a yes or no", "use a number here"),
    ("(x > 1) == (x > 2)", 13, "cannot compare a yes or no with ==", "compare numbers"),
    ("fuel + 1", 1, "cannot compute with choice from a list", "use a number here"),
    ("fuel < 'lp'", 8, "cannot compare choice from a list with <", "compare numbers"),
    ("1 < x < 2", 1, "comparisons do not chain", "write a < b and b < c"),
    ("voluem", 1, '"voluem" is not a name here', "did you mean volume?"),
    ("sqr(x)", 1, '"sqr" is not a function of the language', "did you mean sqrt?"),
    ("power(x, 2)", 1, '"power" is not a function of the language', None),
    ("__import__('os')", 1, '"__import__" is not a function of the language', None),
    ("(x)(1)", 1, '"x" is not a function of the language', None),
    ("x(1)(2)", 1, '"" is not a function of the language', None),
    ("x.real", 1, "a name with a point in it is not part of the language", "see the list of what is"),
    ("x % 2", 1, "a remainder is not part of the language", "see the list of what is"),
    ("x // 2", 1, "a whole-number division is not part of the language", "see the list of what is"),
    ("x, x", 1, "a list of values is not part of the language", "see the list of what is"),
    ("sqrt(x=1)", 6, "a named argument is not part of the language", "see the list of what is"),
    ("sqrt(*x)", 6, "a starred argument is not part of the language", "see the list of what is"),
    ("x + True", 5, "True is not part of the language", "write a number"),
    ("1j", 1, "1j is not part of the language", "write a number"),
    ("[x]", 1, "'[' is not part of the language", PARTS),
    ("x # note", 3, "'#' is not part of the language", PARTS),
    ("lambda: 1", 7, "':' is not part of the language", PARTS),
    ("f'{x}'", 3, "'{' is not part of the language", PARTS),
    ("x ^ 2", 3, "'^' is not part of the language", "write a power as **"),
    ("x + µ", 5, "'µ' is not part of the language", PARTS),
    ("8.33 lb/gal", 6, "the formula does not parse here", 'write a number with a unit as q("8.33 lb/gal")'),
    ("x = 1", 3, "the formula does not parse here", "write == to compare"),
    ("(x + 1", 1, "the formula does not parse here", MISSING),
    ("", 1, "the formula is empty", "write an expression"),
    ("1e999", 1, "this number is too large", "write a number that can be measured"),
    ("x + " + "9" * 400, 5, "this number is too large", "write a number that can be measured"),
    ("lookup(bore, x, flow)", 8, '"bore" is not a table', "use one of: bores"),
    ("lookup(bores, q('1 mm'), flo)", 26, '"flo" is not a column of the table', "use one of: flow"),
    ("lookup(bores, x, flow)", 15, "cannot look up by length and a plain number", SAME),
    ("lookup(bores, x)", 1, "lookup takes three arguments", "write lookup(table, row, column)"),
    ("interpolate(bores, flow, x)", 26, "cannot look up by length and a plain number", SAME),
    ("interpolate(bores, flow, q('1 mm'))", 13, RISING, "use lookup, or sort the rows"),
]


@pytest.mark.parametrize(("text", "column", "message", "fix"), REFUSED, ids=[row[0][:30] for row in REFUSED])
def test_refused(text, column, message, fix):
    with pytest.raises(FormulaError) as caught:
        compile_expression(text, NAMES, TABLES)
    error = caught.value
    assert (error.message, error.column) == (message, column)
    assert error.fix == fix if fix else error.fix.startswith("the functions are abs, exp,")


HOSTILE = {
    "long": "1" + "+1" * 600,
    "brackets": "(" * 400 + "1" + ")" * 400,
    "half open": "(" * 900,
    "signs": "-" * 900 + "1",
    "nots": "not " * 240 + "x > 1",
    "sums": "+".join("1" * 450),
    "powers": "**".join("2" * 300),
    "choices": "x if x > 1 else " * 60 + "x",
    "calls": "abs(" * 59 + "x" + ")" * 59,
    "many": "max(" + ",".join("1" * 490) + ")",
    "digits": "9" * 999,
    "quotes": "'" * 999,
}


@pytest.mark.parametrize("name", sorted(HOSTILE))
def test_hostile_text_is_refused_at_once(name):
    start = time.perf_counter()
    with pytest.raises(FormulaError):
        compile_expression(HOSTILE[name], NAMES)
    assert time.perf_counter() - start < 0.5


def test_sixty_terms_are_too_many_and_fifty_are_not():
    assert compile_expression("+".join("1" * 50), {}).evaluate({}) == 50
    with pytest.raises(FormulaError, match="too involved"):
        compile_expression("+".join("1" * 61), {})


def test_only_text_is_a_formula():
    with pytest.raises(FormulaError, match="5 is not a formula"):
        compile_expression(5, NAMES)


def test_a_missing_value_is_named_with_its_column():
    with pytest.raises(FormulaError) as caught:
        compile_expression("x + volume / volume", NAMES).evaluate({"x": 1.0})
    assert (caught.value.message, caught.value.column) == ("volume has no value", 5)


def test_an_infinite_value_is_refused():
    with pytest.raises(FormulaError, match="too large"):
        compile_expression("x > 1", NAMES).evaluate({"x": float("inf")})


def test_errors_while_computing_carry_the_column():
    with pytest.raises(FormulaError) as caught:
        compile_expression("1 + sqrt(x - 2)", NAMES).evaluate({"x": 1.0})
    assert (caught.value.message, caught.value.column) == ("a negative number has no square root", 5)


def test_a_table_with_a_hole_is_refused():
    holed = SimpleNamespace(key=("a", "ratio"), columns={"b": "ratio"}, rows=[[1, 2], [2]])
    with pytest.raises(FormulaError, match="row 2 of the table holed is not complete"):
        compile_expression("1", {}, {"holed": holed})


WORDS = ["x", "volume", "start", "sqrt(", "max(", "q('1 in')", "(", ")", "+", "-", "*", "**", "/", "1"]
WORDS += ["0.5", ",", "if", "else", "<", "==", "and", "not", "fuel", "'</script>'", '"lp"', "1e300", "9", " "]
WORDS += ["of(2,'degF')"]


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join), st.text(max_size=30)))
def test_any_text_is_refused_politely_or_emitted_safely(text):
    try:
        script = compile_expression(text, NAMES).javascript()
    except FormulaError as error:
        assert error.message
        assert error.fix
        assert 1 <= error.column <= max(1, len(text))
    else:
        assert "</" not in script
        assert "<!" not in script
        assert script.isascii()
