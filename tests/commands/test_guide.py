"""sparkgap guide."""

from __future__ import annotations

import shutil

import pytest

from tests.loaded import BASE

READING = "voltage-drop=voltage-off:12.6 V@voltmeter,voltage-on:11.2 V@voltmeter"


def test_belief_next_acts_and_reasons(run):
    ran = run("guide", "pump-silent", "--unit", "demo-brushed", "--found", "tank-full=full", "--reading", READING)
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[:4] == ["Pump stays silent", "", "Causes", "   86.5 %  Ground corroded"]
    assert "Reading pump-checks/voltage-drop: above (within: 0.0 %)" in lines
    at = lines.index("  1. Do the lights burn as ever?  [pump-checks/lights]")
    assert lines[at + 1] == "     Free: look and ask before anything is opened. One minute, needs no tools."
    assert "For someone electrical-qualified: supply/battery-voltage" in lines


def test_json_follows_its_schema(run):
    for arguments in ([], ["--unit", "demo-brushless"], ["--found", "tank-full=empty"],
                      ["--found", "lights=dim", "fuse-look=~whole", "--who", "technician,electrical-qualified"],
                      ["--reading", READING, "--aside", "lights", "--replaced", "fuse", "pump-motor=before",
                       "--failed", "supply/replace-fuse"]):
        result = run("guide", "pump-silent", "--json", *arguments).json("guide")
        assert sum(result["belief"].values()) == pytest.approx(1, abs=1e-12)
        assert all(one["why"] for one in result["next"])
    assert run("guide", "lights-dim", "--json").json("guide")["next"]


def test_what_is_found_moves_the_belief(run):
    def belief(*arguments: str) -> dict:
        return run("guide", "pump-silent", "--unit", "demo-brushed", "--json", *arguments).json("guide")["belief"]

    before, seen, told = belief(), belief("--found", "tank-full=empty"), belief("--found", "tank-full=~empty")
    assert before["tank-empty"] < told["tank-empty"] < seen["tank-empty"]
    assert belief("--replaced", "pump-motor")["brushes-worn"] < before["brushes-worn"]
    assert belief("--replaced", "pump-motor=before")["brushes-worn"] > before["brushes-worn"]
    brushless = run("guide", "pump-silent", "--plate", "motor=brushless", "--json").json("guide")
    assert "brushes-worn" not in brushless["belief"]


def test_the_truck_list_is_plain_text(run):
    lines = run("guide", "pump-silent", "--unit", "demo-brushed", "--truck").out.splitlines()
    assert lines[0] == "Truck list: Pump stays silent"
    assert lines[1].startswith("Likeliest: ") and "Tools" in lines and "Parts" in lines
    assert run("guide", "pump-silent", "--truck").out.splitlines()[-4:] == [
        "Let the owner read off:", "  Motor", "  Rated current", "  Fresh-water tank"]
    assert run("guide", "pump-silent", "--truck", "--json").code == 2


def test_missing_plate_values_are_named(run):
    assert run("guide", "pump-silent", "--json").json("guide")["missing"] == ["motor", "rated_current", "tank"]
    assert "The data plate would say more: motor, rated_current, tank" in run("guide", "pump-silent").out
    assert run("guide", "pump-silent", "--unit", "demo-brushed", "--json").json("guide")["missing"] == []


def test_a_symptom_of_another_kind_of_unit_is_refused(run, tmp_path):
    folder = shutil.copytree(BASE, tmp_path / "knowledge")
    file = folder / "kb/symptoms/dc-power/lights-dim.yaml"
    file.write_text(file.read_text("utf-8") + "applies_to: {motor: brushed}\n", "utf-8")
    assert run("guide", "lights-dim", "--unit", "demo-brushed", root=folder).code == 0
    ran = run("guide", "lights-dim", "--unit", "demo-brushless", root=folder)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines() == ["sparkgap: 'Lights dim or dead' does not happen on this unit",
                                    "sparkgap: check motor on its data plate"]


@pytest.mark.parametrize(("arguments", "says"), [
    (["pump-silnt"], ["there is no symptom 'pump-silnt'", "did you mean pump-silent?"]),
    (["pump-silent", "--unit", "demo-brush"],
     ["there is no unit 'demo-brush': did you mean demo-brushed or demo-brushless?"]),
    (["pump-silent", "--plate", "moter=brushed", "motor=brush", "tank=5 V", "tank"], [
        "there is no data-plate value 'moter': did you mean motor?",
        "there is no motor 'brush': did you mean brushed or brushless?",
        "--plate tank: V measures voltage, not volume: write gal, L, qt, floz, ft3, in3, mL, m3",
        "--plate 'tank': write it as --plate volume='12 gal'"]),
    (["pump-silent", "--found", "tank-ful=full", "tank-full=ful", "lights"], [
        "there is no check 'tank-ful': did you mean tank-full?",
        "there is no answer of pump-checks/tank-full 'ful': did you mean full?",
        "--found 'lights': write it as --found first-look/repeats=always"]),
    (["pump-silent", "--who", "gas-qualifed"],
     ["there is no qualification 'gas-qualifed': did you mean gas-qualified or electrical-qualified?"]),
    (["pump-silent", "--aside", "x", "pump-checks/light"], [
        "there is no check 'x': one of battery-voltage, fuse-look, lights, motor-current, tank-full, voltage-drop",
        "there is no check 'pump-checks/light': did you mean pump-checks/lights or pump-checks/tank-full or "
        "pump-checks/voltage-drop?"]),
    (["pump-silent", "--replaced", "fus", "fuse=once"], [
        "there is no part 'fus': did you mean fuse?",
        "there is no time of fitting 'once': one of before, for-this, unknown"]),
    (["pump-silent", "--failed", "replace-fus"], [
        "there is no remedy 'replace-fus': did you mean replace-fuse or replace-motor?"]),
    (["pump-silent", "--reading", "tank-full=3", "voltage-drop=12 V@voltmeter", "motor-current=4 A@voltmetr",
      "battery-voltage=12 A", "battery-voltage=12 V@clamp", "motor-current=4 A@clamp"], [
        "pump-checks/tank-full asks for an answer, not a reading: one of full, empty",
        "pump-checks/voltage-drop needs voltage-off, voltage-on: write voltage-off:VALUE@TOOL,voltage-on:VALUE@TOOL",
        "there is no tool 'voltmetr': did you mean voltmeter?",
        "supply/battery-voltage: A measures current, not voltage: write V, mV, kV",
        "supply/battery-voltage: clamp measures current, not voltage",
        "motor-current: its limits depend on motor: say it with --unit or --plate, then the reading can be judged"]),
])
def test_every_mistake_is_said_at_once(run, arguments, says):
    ran = run("guide", *arguments)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines() == [f"sparkgap: {line}" for line in says]
