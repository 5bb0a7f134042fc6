"""Whatever is written as an expression or a quantity, the answer is a value or a refusal in words."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st
from sparkgap.formulas import FormulaError, compile_expression
from sparkgap.quantities import QUANTITIES, UNITS, QuantityError, parse_quantity

from tests.formulas.expressions import NAMES, VALUES, typed
from tests.fuzz.inputs import profile, spoiled

PIECES = st.lists(
    st.sampled_from(
        [
            *NAMES,
            "9**9**9",
            "**",
            "*",
            "/",
            "+",
            "-",
            "(",
            ")",
            "()",
            ",",
            ".",
            "'gal'",
            "q(",
            "q('1 gal')",
            "of(",
            "magnitude(",
            "lookup(",
            "if",
            "else",
            "and",
            "not",
            "<",
            "==",
            "!=",
            "lambda",
            ":=",
            "__import__('os')",
            "f'{x}'",
            "[",
            "]",
            "{",
            "}",
            "1",
            "0",
            "1e308",
            "-1",
            "0x10",
            "1_0",
            "1j",
            "True",
            "None",
            "...",
            "\\",
            "\n",
            "#",
            "@",
            "yield",
            "await",
            " ",
        ]
    ),
    max_size=14,
).map(" ".join)


def outcome(text: str, values: dict) -> object:
    """The value, or the refusal."""
    try:
        compiled = compile_expression(text, NAMES)
        result = compiled.evaluate(values)
    except FormulaError as error:
        assert error.message and error.fix and 0 <= error.column <= max(1, len(text))
        return error
    assert isinstance(result, bool | str) or math.isfinite(result)
    written = compiled.javascript()
    assert "<" not in written.replace(" < ", "").replace(" <= ", "") and "__" not in written and ";" not in written
    return result


@given(st.one_of(st.text(max_size=60), PIECES, typed().flatmap(lambda one: spoiled(one[0]))), VALUES)
@profile(300)
def test_expressions(text, values):
    outcome(text, values)


@given(typed(), VALUES)
@profile(60)
def test_sound_expressions_are_computed_or_refused_in_words(one, values):
    text, quantity = one
    outcome(text, values)


SPELLINGS = st.sampled_from([*UNITS, "cfm", "°F", "furlong", "", "</b>", "\u202e", "in in"])
NUMBERS = st.sampled_from(
    [
        "1",
        "1/8",
        "3 1/4",
        "1/0",
        "0/0",
        "-5",
        "\u22125",
        "+2",
        "1e999",
        "1e308",
        "-1e308",
        "1e-400",
        ".5",
        "5.",
        "1,5",
        "1.2.3",
        "\u0663",
        "\u00bd",
        "nan",
        "inf",
        "0x10",
        "1_000",
        "--1",
        "9" * 59,
    ]
)


@given(
    st.one_of(
        st.text(max_size=70),
        st.tuples(NUMBERS, SPELLINGS).map(" ".join),
        st.tuples(NUMBERS, SPELLINGS).map("\u00a0".join),
    ),
    st.sampled_from([None, *QUANTITIES]),
)
@profile(300)
def test_quantities(text, quantity):
    try:
        parsed = parse_quantity(text, quantity)
    except QuantityError as error:
        assert error.message and error.fix
    else:
        assert math.isfinite(parsed.value_si)
        if not parsed.dimension.plain or quantity:
            assert parsed.show() and parsed.typed()
