"""Random formulas: the checked dimension is the one they were built for, and both languages compute alike."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sparkgap.formulas import FormulaError, compile_expression
from sparkgap.kinds import words

from tests.formulas.expressions import DIMENSIONS, NAMES, QUANTITIES, VALUES, transcendental, typed
from tests.js import engine

SLOW = settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # a failure names its formula; shrinking takes minutes
)
RUN = """(sources, v) => sources.map((source) => {
  try { return (new Function("v", "t", "F", "return " + source))(v, {}, Sparkgap.formulas); }
  catch (error) { return error.message; }
})"""


@pytest.fixture(scope="module")
def browser():
    return engine("formulas.js")


def compiled(texts: list[str]) -> list:
    """Those that are not too involved for the language."""
    expressions = []
    for text in texts:
        try:
            expressions.append(compile_expression(text, NAMES))
        except FormulaError as error:
            assert "too involved" in error.message or "longer than" in error.message, (text, error.message)
    return expressions


def in_python(expression, values):
    try:
        return expression.evaluate(values)
    except FormulaError as error:
        return error.message


@SLOW
@given(st.lists(typed(), min_size=20, max_size=25), VALUES)
def test_sums_and_products_agree_to_the_last_bit(browser, rows, values):
    expressions = compiled([text for text, _ in rows])
    script = browser.call(RUN, [expression.javascript() for expression in expressions], values)
    for expression, result in zip(expressions, script, strict=True):
        assert in_python(expression, values) == result, (expression.text, json.dumps(values))


@SLOW
@given(st.lists(transcendental(), min_size=20, max_size=25), VALUES)
def test_functions_and_powers_agree_within_1e_12(browser, texts, values):
    expressions = compiled(texts)
    script = browser.call(RUN, [expression.javascript() for expression in expressions], values)
    for expression, result in zip(expressions, script, strict=True):
        python = in_python(expression, values)
        if isinstance(python, str) or isinstance(result, str):
            assert python == result, expression.text
        else:
            assert math.isclose(python, result, rel_tol=1e-12, abs_tol=1e-300), expression.text


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(typed())
def test_the_dimension_is_the_one_built_for(row):
    text, quantity = row
    for expression in compiled([text]):
        assert expression.dimension.fits(DIMENSIONS[quantity]), text


ADDED = {
    **{(one, one): one for one in QUANTITIES if one != "temperature"},
    ("temperature", "temperature-difference"): "temperature",
    ("temperature-difference", "temperature"): "temperature",
}


@pytest.mark.parametrize("right", QUANTITIES)
@pytest.mark.parametrize("left", QUANTITIES)
def test_a_sum_has_a_dimension_or_names_both(left, right):
    text = f"{left.replace('-', '_')}_a + {right.replace('-', '_')}_b"
    if (left, right) in ADDED:
        assert compile_expression(text, NAMES).dimension == DIMENSIONS[ADDED[left, right]]
    else:
        with pytest.raises(FormulaError) as caught:
            compile_expression(text, NAMES)
        assert caught.value.message == f"cannot add {words(DIMENSIONS[left])} and {words(DIMENSIONS[right])}"
