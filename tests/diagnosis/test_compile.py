"""From the knowledge to the engines' model: exact on the base, sound for everything that is shipped."""

from __future__ import annotations

import json
from functools import cache

import pytest
from sparkgap.diagnosis import specialise
from sparkgap.diagnosis.calculators import plate_calculators
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.guide import guide
from sparkgap.knowledge.conditions import holds
from sparkgap.knowledge.schemas import validator

from tests.loaded import base, shipped


@cache
def model(which, symptom: str) -> dict:
    return compile_symptom(which(), symptom)


def act(kind: str, gid: str, symptom: str = "pump-silent") -> dict:
    (found,) = [one for one in model(base, symptom)[kind] if one["id"] == gid]
    return found


def test_weights_and_faults_with_those_included():
    compiled = model(base, "pump-silent")
    assert compiled["weights"] == {"normal": 0.1, "other": 0.1}
    assert [(one["id"], one["weight"], one["from"]) for one in compiled["faults"]] == [
        ("battery-flat", 3.75, "lights-dim"), ("brushes-worn", 4.0, None), ("fuse-blown", 1.25, "lights-dim"),
        ("ground-corroded", 4.0, None), ("tank-empty", 2.0, None)]
    assert model(base, "lights-dim")["weights"] == {"normal": 0.05, "other": 0.05}
    assert [one["weight"] for one in model(base, "lights-dim")["faults"]] == [3.0, 1.0]


def test_checks_that_speak_for_a_fault_or_are_asked_for():
    assert [one["id"] for one in model(base, "pump-silent")["checks"]] == [
        "pump-checks/lights", "pump-checks/motor-current", "pump-checks/tank-full", "pump-checks/voltage-drop",
        "supply/battery-voltage", "supply/fuse-look"]
    assert [one["id"] for one in model(base, "lights-dim")["checks"]] == [
        "supply/battery-voltage", "supply/fuse-look"]
    assert [one["id"] for one in model(base, "pump-silent")["checks"] if one["first"]] == ["pump-checks/tank-full"]
    assert [one["id"] for one in model(base, "pump-silent")["checks"] if one["free"]] == [
        "pump-checks/lights", "pump-checks/tank-full", "supply/fuse-look"]


def test_rows_in_the_order_of_the_answers():
    tank = act("checks", "pump-checks/tank-full")
    assert (tank["answers"], tank["clear"], tank["blocks"]) == (["empty", "full"], "full", ["empty"])
    # brushes-worn shows in half of all checks, so that half of its row is that of a sound unit.
    assert tank["rows"] == {"*": [0.05, 0.95], "tank-empty": [0.98, pytest.approx(0.02, abs=1e-15)],
                            "brushes-worn": [pytest.approx(0.5 * 0.3 + 0.5 * 0.05),
                                             pytest.approx(0.5 * 0.7 + 0.5 * 0.95)]}
    lights = act("checks", "pump-checks/lights")
    assert lights["rows"] == {"*": [0.95, pytest.approx(0.05)], "battery-flat": [pytest.approx(0.2), 0.8],
                              "fuse-blown": [0.5, 0.5]}


def test_a_measured_check_has_limits_by_variant():
    measure = act("checks", "pump-checks/motor-current")["measure"]
    brushed = {"when": [{"name": "motor", "any": ["brushed"]}], "low": 3.0, "high": 6.0, "safety": True,
               "source_kind": "demo"}
    brushless = {**brushed, "when": [{"name": "motor", "any": ["brushless"]}], "low": 4.0, "high": 8.0}
    assert measure["limits"] == [brushed, brushless]
    assert (measure["names"], measure["judge"], measure["uses"]) == (["motor-current"], None, None)
    assert act("checks", "pump-checks/motor-current")["clear"] == "within"


def test_a_judged_check_names_its_readings_and_its_limit():
    measure = act("checks", "pump-checks/voltage-drop")["measure"]
    assert measure["judge"] == "pump-checks/voltage-drop" and measure["uses"] == {"plate": [], "constants": {}}
    assert [(name, one["variable"]) for name, one in measure["readings"].items()] == [
        ("voltage-off", "voltage_off"), ("voltage-on", "voltage_on")]
    assert measure["limit_id"] == "drop"
    assert measure["limits"] == [{"when": [], "low": None, "high": 0.5, "safety": False, "source_kind": "demo"}]
    assert act("checks", "pump-checks/voltage-drop")["misses"] == 0.1


def test_access_gates_and_rights_come_with_what_is_around():
    current = act("checks", "pump-checks/motor-current")
    assert current["access"] == ["hatch", "pump-out"] and current["gates"] == ["power-off", "pressure-released"]
    assert current["closes"] == ["hatch"] and current["leaves"] == {"power": "on"}
    assert act("checks", "supply/battery-voltage")["who"] == ["electrical-qualified", "technician"]
    assert act("checks", "pump-checks/lights")["who"] == []
    # Charging is for anybody, its proof is not: who repairs must be able to prove it.
    assert act("remedies", "supply/charge-battery")["who"] == ["electrical-qualified", "technician"]


def test_minutes_of_a_calculator_name_the_plate_values_they_need():
    minutes = act("checks", "pump-checks/motor-current")["minutes"]
    assert minutes == {"calculator": "fill-time", "output": "fill", "plus": 2.0, "typical": 12.0, "needs": ["tank"]}
    narrowed = specialise(model(base, "pump-silent"), base().units["demo-brushed"].plate, plate_calculators(base()))
    (check,) = [one for one in narrowed["checks"] if one["id"] == "pump-checks/motor-current"]
    assert check["minutes"] == pytest.approx(12.0, abs=1e-9) and narrowed["missing"] == []
    unknown = specialise(model(base, "pump-silent"), {"motor": "brushed"}, plate_calculators(base()))
    assert "tank" in unknown["missing"]


def test_a_calculator_without_its_inputs_gives_nothing():
    fill = plate_calculators(base())["fill-time"]
    assert fill({}) is None
    assert fill({"tank": 0.1}) == {"fill": pytest.approx(0.1 / (4 * 231 * 0.0254**3 / 60))}
    assert fill({"tank": 1e9}) is None


def test_a_remedy_with_part_price_and_proof():
    motor = act("remedies", "pump-checks/replace-motor")
    assert motor["ends"] == ["brushes-worn"] and (motor["fails"], motor["misses"]) == (0.02, 0.05)
    assert [(one["usd"], one["wait_minutes"], one["item"]) for one in motor["price"]] == [
        (120.0, 0.0, "demo motor, brushed"), (180.0, 1440.0, "demo motor, brushless")]
    assert motor["price"][1]["when"] == [{"name": "motor", "any": ["brushless"]},
                                         {"name": "rated_current", "low": None, "high": 8.0}]
    assert (motor["proof"], motor["proof_access"], motor["proof_closes"]) == (
        "pump-checks/motor-current", ["hatch", "pump-out"], ["hatch"])
    fill = act("remedies", "pump-checks/fill-tank")
    assert (fill["price"], fill["part"], fill["proof"], fill["fails"]) == (None, None, "pump-checks/tank-full", 0.05)


def test_an_unknown_symptom_is_a_key_error():
    with pytest.raises(KeyError):
        compile_symptom(base(), "nothing")


CASES = [(base, name) for name in sorted(base().symptoms)] + [(shipped, name) for name in sorted(shipped().symptoms)]


def _case(value: object) -> str:
    return value if isinstance(value, str) else value.__name__


@pytest.mark.parametrize(("which", "symptom"), CASES, ids=_case)
def test_a_compiled_symptom_fits_its_schema_and_is_plain_json(which, symptom):
    compiled = model(which, symptom)
    validator("model").validate(compiled)
    assert json.loads(json.dumps(compiled, allow_nan=False)) == compiled
    assert compiled == compile_symptom(which(), symptom)


@pytest.mark.parametrize(("which", "symptom"), CASES, ids=_case)
def test_rows_sum_to_one_and_everything_named_is_there(which, symptom):
    compiled = model(which, symptom)
    faults = {one["id"] for one in compiled["faults"]}
    for kind in ("faults", "checks", "remedies"):
        ids = [one["id"] for one in compiled[kind]]
        assert ids == sorted(set(ids)), kind
    for check in compiled["checks"]:
        assert set(check["rows"]) <= faults | {"*", "normal", "other"}
        assert check["answers"] == sorted(check["words"]) and check["clear"] in check["answers"]
        for row in check["rows"].values():
            assert len(row) == len(check["answers"]) and abs(sum(row) - 1) < 1e-12 and min(row) > 0
    checks = which().checks
    for one in (*compiled["checks"], *compiled["remedies"]):
        assert set(one["access"]) | set(one["closes"]) <= set(compiled["access"])
        assert set(one["gates"]) <= set(compiled["gates"]) and set(one["tools"]) <= set(which().tools)
        assert {term["name"] for term in one["when"]} <= set(which().plate)
    for remedy in compiled["remedies"]:
        assert set(remedy["ends"]) <= faults and remedy["proof"] in checks
        assert remedy["part"] is None or remedy["part"] in which().parts
        assert set(remedy["proof_access"]) | set(remedy["proof_closes"]) <= set(compiled["access"])
    assert {fault for remedy in compiled["remedies"] for fault in remedy["ends"]} == faults


@pytest.mark.parametrize(("which", "symptom"), CASES, ids=_case)
def test_every_shipped_unit_gets_an_answer(which, symptom):
    calculators = plate_calculators(which())
    evidence = {"results": {}, "aside": [], "replaced": [], "failed": [], "open": [], "who": ["technician"]}
    applies_to = which().symptoms[symptom].applies_to
    plates = [unit.plate for unit in which().units.values() if holds(applies_to, unit.plate) is not False]
    assert plates
    for plate in [{}, *plates]:
        narrowed = specialise(model(which, symptom), plate, calculators)
        assert abs(sum(narrowed["prior"].values()) - 1) < 1e-12
        assert narrowed["checks"] and narrowed["remedies"]
    if which is base:
        assert guide(model(which, symptom), {}, evidence, calculators)["next"]


@pytest.mark.parametrize(("symptom", "asked", "spared"), [
    ("furnace-drops-out", {"furnace-chamber-sealed", "furnace-air-way-open"}, {"water-in-tank", "hydronic-coolant-in"}),
    ("hydronic-no-heat", {"hydronic-coolant-in"}, {"water-in-tank", "furnace-chamber-sealed"}),
    ("burner-quits-early", {"water-in-tank"}, {"furnace-chamber-sealed", "hydronic-coolant-in"})])
def test_a_shared_check_asks_only_for_the_gates_of_the_appliance(symptom, asked, spared):
    compiled = model(shipped, symptom)
    (shared,) = [one for one in compiled["checks"] if one["id"] == "gas-pressure/running-pressure"]
    assert asked <= set(shared["gates"])
    acts = [*compiled["checks"], *compiled["remedies"]]
    assert not [one["id"] for one in acts if spared & set(one["gates"])]
