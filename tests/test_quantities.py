"""Reading and showing quantities, in Python and in the browser over the same vectors."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sparkgap.dimensions import GAUGE, TEMPERATURE, TEMPERATURE_DIFFERENCE
from sparkgap.quantities import (
    QUANTITIES,
    UNITS,
    QuantityError,
    both,
    format_number,
    format_quantity,
    hints_json,
    kind_of,
    parse_number,
    parse_quantity,
    quantities_json,
    units_json,
    words,
)

from tests.js import engine

VECTORS = json.loads((Path(__file__).parent / "vectors" / "quantities.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def browser():
    script = engine("quantities.js")
    data = "(units, quantities, hints) => { Sparkgap.data = {units, quantities, hints}; }"
    script.call(data, units_json(), quantities_json(), hints_json())
    return script


def in_browser(browser, function: str, rows: list) -> list:
    """The function over every row, each result or {error, fix}."""
    one = f"(row) => {{ try {{ return ({function})(row); }} catch (e) {{ return {{error: e.message, fix: e.fix}}; }} }}"
    return browser.call(f"(rows) => rows.map({one})", rows)


def in_python(function, row: dict):
    try:
        return function(row)
    except QuantityError as error:
        return {"error": error.message, "fix": error.fix}


def expected(row: dict):
    return {"error": row["error"], "fix": row["fix"]} if "error" in row else row.get("text")


def _parsed(row: dict) -> dict:
    quantity = parse_quantity(row["text"], row["quantity"])
    return {"value": quantity.value_si, "unit": quantity.unit, "written": quantity.written}


def _matches(result: dict, row: dict) -> bool:
    if "error" in row:
        return result == expected(row)
    near = math.isclose(result["value"], row["value"], rel_tol=row.get("within", 0), abs_tol=0)
    return near and (result["unit"], result["written"]) == (row["unit"], row["written"])


@pytest.mark.parametrize("row", VECTORS["parse"], ids=lambda row: f"{row['text'].strip()}|{row['quantity']}")
def test_quantities_are_read(row, browser):
    python = in_python(_parsed, row)
    (script,) = in_browser(browser, "(row) => Sparkgap.quantities.parse(row.text, row.quantity)", [row])
    assert _matches(python, row), python
    assert script == python


@pytest.mark.parametrize("row", VECTORS["numbers"], ids=lambda row: row["text"])
def test_numbers_are_shown(row, browser):
    script = browser.call("Sparkgap.quantities.formatNumber", row["value"], row["digits"])
    assert format_number(row["value"], row["digits"]) == row["text"]
    assert script == row["text"]


@pytest.mark.parametrize("row", VECTORS["both"], ids=lambda row: str(row.get("text")))
def test_us_comes_first_and_si_beside(row, browser):
    options = {key: row[key] for key in ("unit", "digits", "written") if key in row}
    python = in_python(lambda row: both(row["value"], row["quantity"], **options), row)
    (script,) = in_browser(
        browser, f"(row) => Sparkgap.quantities.both(row.value, row.quantity, {json.dumps(options)})", [row]
    )
    assert python == expected(row)
    assert script == expected(row)


@pytest.mark.parametrize("row", VECTORS["format"], ids=lambda row: row["text"])
def test_one_system_is_shown(row, browser):
    digits, unit = row.get("digits", 3), row.get("unit")
    arguments = (row["value"], row["quantity"], row["system"], digits, unit)
    assert format_quantity(*arguments) == row["text"]
    assert browser.call("Sparkgap.quantities.format", *arguments) == row["text"]


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(st.floats(allow_nan=False, allow_infinity=False), st.integers(1, 12)), min_size=50))
def test_both_languages_show_any_number_alike(browser, rows):
    script = browser.call("(rows) => rows.map(([x, d]) => Sparkgap.quantities.formatNumber(x, d))", rows)
    assert script == [format_number(value, digits) for value, digits in rows]


@settings(max_examples=20, deadline=None)
@given(st.lists(st.text("0123456789-+/.,eE \u00a0\u2212xV", max_size=12), min_size=50))
def test_both_languages_read_any_text_alike(browser, texts):
    rows = [{"text": text, "quantity": "voltage"} for text in texts]
    script = in_browser(browser, "(row) => Sparkgap.quantities.parse(row.text, row.quantity)", rows)
    assert script == [in_python(_parsed, row) for row in rows]


@given(st.floats(-1e12, 1e12), st.integers(1, 12))
def test_no_more_digits_than_asked_and_the_nearest_number(value, digits):
    text = format_number(value, digits)
    significant = text.split("e")[0].lstrip("-0.").replace(".", "")
    if "." not in text:
        significant = significant.rstrip("0")
    assert len(significant) <= digits
    assert abs(float(text) - value) <= abs(value) * 0.5000001 * 10 ** (1 - digits) + 1e-300


@given(st.sampled_from(sorted(UNITS)), st.floats(0, 1e6))
def test_from_si_undoes_to_si(unit, value):
    there = UNITS[unit].to_si(value)
    assert math.isclose(UNITS[unit].from_si(there), value, rel_tol=1e-12, abs_tol=1e-9)


def test_what_is_shown_can_be_read_again():
    for kind in QUANTITIES.values():
        for system in ("us", "si"):
            if kind.id == "choice":
                continue
            text = format_quantity(300.0, kind.id, system, digits=12)
            assert math.isclose(parse_quantity(text, kind.id).value_si, 300.0, rel_tol=1e-9), (kind.id, text)


def test_show_keeps_fractions_and_puts_us_first():
    assert parse_quantity("3 1/4 in").show() == "3 1/4 in (82.6 mm)"
    assert parse_quantity("3.2 mm", "length").show() == "0.126 in (3.2 mm)"
    assert parse_quantity("0.80", "ratio").show() == "0.80"
    assert parse_quantity("140 degF", "temperature").typed() == "140 °F"


def test_kinds_keep_alike_units_apart():
    assert parse_quantity("70 degF").dimension == TEMPERATURE
    assert parse_quantity("70 delta_degF").dimension == TEMPERATURE_DIFFERENCE
    assert parse_quantity("5 psi", "gauge-pressure").dimension == GAUGE
    assert parse_quantity("5 psi").dimension.kind == ""
    assert [words(parse_quantity(t).dimension) for t in ("5 psi", "1 Btu/ft3", "5 lb/gal", "3")] == [
        "pressure",
        "heating value",
        "density",
        "a plain number",
    ]


@pytest.mark.parametrize("spelling", ["cfm", "BTU", "PSI", "Btu_it", "parsec", "°", "__class__"])
def test_units_that_are_not_listed_are_refused(spelling):
    with pytest.raises(QuantityError, match="is not a unit that Sparkgap knows"):
        parse_quantity(f"5 {spelling}")


def test_a_wrong_quantity_id_names_its_neighbours():
    with pytest.raises(QuantityError) as caught:
        kind_of("lenght")
    assert (caught.value.message, caught.value.fix) == ('there is no quantity "lenght"', "use one of: length")


def test_only_text_is_read():
    with pytest.raises(QuantityError, match="5 is not a text"):
        parse_quantity(5)


def test_parse_number_splits_number_and_rest():
    assert parse_number(" 3 1/4 in w.c. ") == (3.25, "3 1/4", "in w.c.")


def test_every_quantity_shows_units_that_measure_it():
    for kind in QUANTITIES.values():
        assert all(kind.accepts(UNITS[unit]) for unit in (kind.us, kind.si) if unit), kind.id
        assert [UNITS[unit].si in kind.units for unit in kind.units] == [True] * len(kind.units), kind.id


def test_every_unit_has_a_quantity():
    assert [id for id, unit in UNITS.items() if not any(k.accepts(unit) for k in QUANTITIES.values())] == []


@pytest.mark.parametrize(("value", "digits"), [(math.nan, 3), (math.inf, 3), (1.0, 0), (1.0, 13)])
def test_what_cannot_be_shown_is_refused(value, digits):
    with pytest.raises(ValueError, match="cannot be shown|digits must lie"):
        format_number(value, digits)
