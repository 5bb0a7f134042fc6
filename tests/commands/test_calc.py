"""sparkgap calc."""

from __future__ import annotations

import pytest


def test_results_with_the_inputs_as_used(run):
    ran = run("calc", "wire-drop", "current=5 A", "area=4 mm2")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == ("Voltage lost in the wire\n  with current: 5 A\n  with length one way: 394 in (10 m)\n"
                       "  with cross-section: 0.0062 in² (4 mm²)\n  Voltage lost: 0.5 V\n")


def test_the_data_plate_answers_inputs_and_what_is_typed_wins(run):
    assert run("calc", "wire-drop", "--unit", "demo-brushless").out.endswith("Voltage lost: 1.4 V\n")
    assert run("calc", "wire-drop", "--unit", "demo-brushless", "current=2000 mA").out.endswith("Voltage lost: 0.4 V\n")


def test_json_is_si(run):
    assert run("calc", "fill-time", "tank=40 gal", "--json").json("calc") == {
        "calculator": "fill-time", "inputs": {"tank": 0.15141647136, "flow": 0.0002523607856},
        "outputs": {"fill": 600.0}}


@pytest.mark.parametrize(("arguments", "says"), [
    (["wire-dropp"], ["there is no calculator 'wire-dropp'", "did you mean wire-drop?"]),
    (["xyz"], ["there is no calculator 'xyz'", "one of fill-time, wire-drop"]),
    (["wire-drop"], ["Current is missing", "enter 0 A to 30 A"]),
    (["wire-drop", "current=50 A"], ["Current is out of bounds", "enter 0 A to 30 A"]),
    (["wire-drop", "--unit", "demo"], ["there is no unit 'demo'", "one of demo-brushed, demo-brushless"]),
    (["wire-drop", "amps=5 A", "current=5 V", "length"], [
        "'amps=5 A' is no input of wire-drop: write current=…, length=…, area=…",
        "current: V measures voltage, not current: write A, uA, mA",
        "'length' is no input of wire-drop: write current=…, length=…, area=…"]),
])
def test_what_stops_it_is_said_at_once(run, arguments, says):
    ran = run("calc", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines() == [f"sparkgap: {line}" for line in says]
