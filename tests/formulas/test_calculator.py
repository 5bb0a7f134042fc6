"""Calculators as programs: run in Python and as emitted JavaScript, checked key by key."""

from __future__ import annotations

import copy
import json
from types import SimpleNamespace as Of

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from sparkgap.formulas import (
    FormulaError,
    InputError,
    check_calculator,
    compile_calculator,
    emit,
    inputs_from_plate,
    run,
)

from tests.js import engine

GALLON, BTU_PER_HOUR = 0.003785411784, 1055.05585262 / 3600
CONSTANTS = {
    "specific_heat": Of(value_si=4186.8, quantity="specific-heat", title="Specific heat", source="standard"),
    "unused": Of(amount=Of(value_si=1.0, quantity="ratio"), title="Unused", source="memory"),
}
ROWS = [[280.0, 1000.0], [313.0, 993.0], [360.0, 960.0]]
TABLES = {
    "density": Of(key=("at", "temperature"), columns={"density": "density"}, rows=ROWS),
}


def given_by(quantity, unit="", default="", low="", high="", plate="", **more):
    return Of(quantity=quantity, unit=unit, default=default, low=low, high=high, plate=plate, help="", **more)


def result(title, quantity, unit, expression, digits=3):
    return Of(title=title, quantity=quantity, unit=unit, expression=expression, digits=digits, says="")


def heat_up():
    """Time and rise of a tank on gas."""
    return Of(
        id="heat-up",
        title="Heat-up",
        summary="</script><b>",
        inputs={
            "volume": given_by("volume", "gal", "10 gal", "2 gal", "20 gal", "volume", title="Volume"),
            "input": given_by("power", "Btu/h", low="500 Btu/h", plate="input", title="Input"),
            "start": given_by("temperature", "degF", "60 degF", "33 degF", "165 degF", title="Start"),
            "fuel": given_by("choice", default="lp", plate="fuel", title="Fuel"),
        },
        constants=["specific_heat"],
        tables=["density"],
        steps={
            "mass": Of(expression="volume * interpolate(density, density, start)", title="Mass"),
            "rate": Of(expression="input * (0.8 if fuel == 'lp' else 0.75)", title=""),
        },
        outputs={
            "rise": result("Rise", "temperature-difference", "delta_degF", "q('80 delta_degF')"),
            "time": result("Time", "duration", "min", "mass * specific_heat * rise / rate", 4),
        },
    )


@pytest.fixture
def calculator():
    return heat_up()


@pytest.fixture(scope="module")
def browser():
    script = engine("formulas.js")
    script.run(emit(heat_up(), CONSTANTS, TABLES))
    script.run("""
      globalThis.tried = (given) => {
        try { return Sparkgap.calculators["heat-up"].run(given); }
        catch (error) { return [error.name, error.message, error.fix, error.input]; }
      };
    """)
    return script


def test_a_calculator_computes_by_hand_what_it_should(calculator):
    given = {"volume": 6 * GALLON, "input": 12000 * BTU_PER_HOUR, "start": 280.0}
    seconds = 6 * GALLON * 1000 * 4186.8 * (80 / 1.8) / (12000 * BTU_PER_HOUR * 0.8)
    outputs = run(calculator, given, CONSTANTS, TABLES)
    assert outputs == {"rise": pytest.approx(80 / 1.8, rel=1e-14), "time": pytest.approx(seconds, rel=1e-12)}


def test_inputs_that_are_not_given_take_their_defaults(calculator):
    program = compile_calculator(calculator, CONSTANTS, TABLES)
    assert program.run({"input": 3000}) == program.run(
        {"input": 3000.0, "volume": 10 * GALLON, "start": 60 * (5 / 9) + 459.67 * 5 / 9, "fuel": "lp"}
    )
    assert program.run({"input": 3000})["time"] != program.run({"input": 3000, "fuel": "butane"})["time"]


def test_trace_holds_the_steps_before_the_outputs(calculator):
    trace = compile_calculator(calculator, CONSTANTS, TABLES).trace({"input": 1000.0, "start": 280.0})
    assert list(trace) == ["mass", "rate", "rise", "time"]
    assert trace["mass"] == 10 * GALLON * 1000.0
    assert trace["rate"] == 800.0


@settings(max_examples=10, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(
    st.lists(
        st.fixed_dictionaries(
            {"volume": st.floats(0.001, 0.1), "input": st.floats(0, 20000), "start": st.floats(270, 370)},
            optional={"fuel": st.sampled_from(["lp", "butane"])},
        ),
        min_size=40,
    )
)
def test_the_emitted_calculator_agrees(browser, rows):
    program = compile_calculator(heat_up(), CONSTANTS, TABLES)
    for row, script in zip(rows, browser.call("(rows) => rows.map(tried)", rows), strict=True):
        try:
            python = program.trace(row)
        except FormulaError as error:
            python = ["FormulaError", error.message, error.fix, getattr(error, "name", "")]
        assert script == python


BAD_INPUTS = [
    ({}, "Input is missing", "enter 500 Btu/h or more", "input"),
    ({"input": 100.0}, "Input is out of bounds", "enter 500 Btu/h or more", "input"),
    ({"input": 3000, "volume": 21 * GALLON}, "Volume is out of bounds", "enter 2 gal to 20 gal", "volume"),
    ({"input": 3000, "start": 273.0}, "Start is out of bounds", "enter 33 °F to 165 °F", "start"),
    ({"input": "much"}, "Input is not a number", "enter 500 Btu/h or more", "input"),
    ({"input": True}, "Input is not a number", "enter 500 Btu/h or more", "input"),
    ({"input": 3000, "fuel": 3}, "Fuel is not a number", "enter a choice from a list", "fuel"),
    ({"input": 3000, "in": 1}, '"in" is not an input of Heat-up', "use one of: volume, input, start, fuel", "in"),
]


@pytest.mark.parametrize(("given", "message", "fix", "name"), BAD_INPUTS, ids=[row[1] for row in BAD_INPUTS])
def test_bad_inputs_are_named_in_both_languages(given, message, fix, name, calculator, browser):
    with pytest.raises(InputError) as caught:
        run(calculator, given, CONSTANTS, TABLES)
    error = caught.value
    assert (error.message, error.fix, error.name) == (message, fix, name)
    assert browser.call("tried", given) == ["FormulaError", message, fix, name]


def test_bounds_themselves_are_allowed(calculator, browser):
    given = {"input": 500 * BTU_PER_HOUR, "volume": 2 * GALLON}
    assert browser.call("tried", given) == compile_calculator(calculator, CONSTANTS, TABLES).trace(given)


def test_the_description_tells_the_page_everything(browser):
    described = browser.call("() => Sparkgap.calculators['heat-up']")
    assert [one["name"] for one in described["inputs"]] == ["volume", "input", "start", "fuel"]
    assert described["inputs"][0] == {
        "name": "volume",
        "title": "Volume",
        "quantity": "volume",
        "unit": "gal",
        "default": 10 * GALLON,
        "low": 2 * GALLON,
        "high": 20 * GALLON,
        "expects": "2 gal to 20 gal",
        "written": "10 gal",
        "plate": "volume",
        "help": "",
    }
    assert described["constants"] == [
        {
            "name": "specific_heat",
            "title": "Specific heat",
            "value": 4186.8,
            "quantity": "specific-heat",
            "source": "standard",
        }
    ]
    assert described["tables"] == {"density": {"keys": [280, 313, 360], "columns": {"density": [1000, 993, 960]}}}
    assert described["steps"] == [{"name": "mass", "title": "Mass"}, {"name": "rate", "title": ""}]
    assert described["outputs"][1] == {
        "name": "time",
        "title": "Time",
        "quantity": "duration",
        "unit": "min",
        "digits": 4,
        "says": "",
    }
    assert described["summary"] == "</script><b>"


def test_the_script_is_safe_to_embed(calculator):
    calculator.title = "</script><!--\u2028"
    script = emit(calculator, CONSTANTS, TABLES)
    assert "</" not in script
    assert "<!" not in script
    assert script.isascii()


def test_the_plate_answers_inputs(calculator, browser):
    plate = {"volume": 0.03, "fuel": "butane", "altitude": 100.0}
    expected = {"volume": 0.03, "fuel": "butane"}
    assert inputs_from_plate(calculator, plate) == expected
    call = "(plate) => Sparkgap.formulas.fromPlate(Sparkgap.calculators['heat-up'], plate)"
    assert browser.call(call, plate) == expected


def test_a_sound_calculator_has_no_problem(calculator):
    assert check_calculator(calculator, CONSTANTS, TABLES) == []


MUTATIONS = [
    ("outputs.rise.expression", "q('80 degF')", "outputs.rise.expression",
     "the expression gives temperature, the output is temperature difference"),
    ("outputs.time.expression", "mass * rise / rate", "outputs.time.expression",
     "the expression gives m⁻²·s³·K, the output is duration"),
    ("outputs.time.quantity", "durations", "outputs.time.quantity", 'there is no quantity "durations"'),
    ("outputs.time.unit", "degF", "outputs.time.unit", "degF does not measure duration"),
    ("outputs.time.digits", 0, "outputs.time.digits", "0 digits cannot be shown"),
    ("outputs.time.expression", "mass * specific_heat * rise / (rate + volume)", "outputs.time.expression",
     "cannot add power and volume"),
    ("outputs.rise.expression", "1 > 2", "outputs.rise.expression",
     "the expression gives a yes or no, the output is temperature difference"),
    ("inputs.volume.default", "25 gal", "inputs.volume.default", "the default lies outside the bounds"),
    ("inputs.volume.default", "10 degF", "inputs.volume.default", "degF measures temperature, not volume"),
    ("inputs.volume.low", "30 gal", "inputs.volume.low", "low is above high"),
    ("inputs.volume.high", "9 inches", "inputs.volume.high", '"inches" is not a unit that Sparkgap knows'),
    ("inputs.volume.unit", "ft", "inputs.volume.unit", "ft does not measure volume"),
    ("inputs.start.quantity", "warmth", "inputs.start.quantity", 'there is no quantity "warmth"'),
    ("steps.rate.expression", "input * time", "steps.rate.expression", '"time" is not a name here'),
    ("constants", ["specific_heat", "gravity"], "constants", 'there is no constant "gravity"'),
    ("tables", ["density", "steam"], "tables", 'there is no table "steam"'),
]


@pytest.mark.parametrize(("key", "value", "path", "message"), MUTATIONS, ids=[f"{m[0]}={m[1]}" for m in MUTATIONS])
def test_one_wrong_key_is_one_problem_there(key, value, path, message, calculator):
    *parts, last = key.split(".")
    place = calculator
    for part in parts:
        place = place[part] if isinstance(place, dict) else getattr(place, part)
    setattr(place, last, value)
    found = [(".".join(where), error.message) for where, error in check_calculator(calculator, CONSTANTS, TABLES)]
    assert found == [(path, message)]
    with pytest.raises(FormulaError):
        compile_calculator(calculator, CONSTANTS, TABLES).run({"input": 3000.0})


@pytest.mark.parametrize("name", ["Volume", "q", "if", "__proto__", "a-b", "sqrt", "x; alert(1)"])
def test_names_that_cannot_be_are_refused(name, calculator):
    calculator.steps[name] = Of(expression="1", title="")
    (problem,) = check_calculator(calculator, CONSTANTS, TABLES)
    assert problem[0] == ("steps", name)
    assert problem[1].message == f'"{name}" cannot be a name'


@pytest.mark.parametrize("name", ["volume", "specific_heat"])
def test_a_name_is_used_once(name, calculator):
    calculator.steps = {name: Of(expression="1", title=""), **calculator.steps}
    found = check_calculator(calculator, CONSTANTS, TABLES)
    assert [(path, error.message) for path, error in found] == [(("steps", name), f'"{name}" is used twice')]


def test_a_broken_table_is_a_problem_and_not_a_traceback(calculator):
    tables = copy.deepcopy(TABLES)
    tables["density"].rows[1] = [360.0]
    found = check_calculator(calculator, CONSTANTS, tables)
    assert [(path, error.message) for path, error in found] == [
        (("tables",), "row 2 of the table density is not complete")
    ]


def test_division_by_zero_and_overflow_are_the_same_errors_in_both_languages(calculator):
    calculator.outputs["rise"].expression = "rate / (rate - rate) * q('1 delta_degF')"
    given = {"input": 1000.0}
    with pytest.raises(FormulaError) as caught:
        run(calculator, given, CONSTANTS, TABLES)
    script = engine("formulas.js")
    script.run(emit(calculator, CONSTANTS, TABLES))
    call = "(v) => { try { Sparkgap.calculators['heat-up'].run(v); } catch (e) { return e.message; } }"
    assert script.call(call, given) == caught.value.message == "this divides by zero"


def test_the_script_is_one_statement_with_a_line_a_value(calculator):
    lines = emit(calculator, CONSTANTS, TABLES).splitlines()
    head = 'Sparkgap.calculators["heat-up"] = Sparkgap.formulas.calculator('
    assert lines[0].startswith(head)
    json.loads(lines[0].removeprefix(head).removesuffix(", function (v, t, F) {"))
    assert lines[2] == '  v.rate = F.finite((v.input * ((v.fuel === "lp") ? 0.8 : 0.75)));'
    assert lines[-1] == "});"
