"""A symptom narrowed to one unit."""

import pytest
from sparkgap.diagnosis import belief, specialise

from tests.diagnosis.models import check, heat_up, model, remedy

PILOT = [{"name": "ignition", "any": ["pilot"]}]
LARGE = [{"name": "volume", "low": 0.0378541, "high": None}]


def symptom(**keys):
    parts = {
        "faults": {"orifice": 1.0, "thermocouple": 3.0, "board": 4.0},
        "checks": [check("p/flame", {"*": [0.1, 0.9], "thermocouple": [0.9, 0.1]})],
        "remedies": [remedy("p/thermocouple", ["thermocouple"])],
    }
    compiled = model(**{**parts, **keys})
    for fault in compiled["faults"]:
        if fault["id"] == "thermocouple":
            fault["when"] = PILOT
    return compiled


def test_faults_share_what_normal_and_other_leave_in_proportion():
    prior = specialise(symptom(), {"ignition": "pilot"})["prior"]
    assert prior == pytest.approx(
        {"normal": 0.05, "other": 0.05, "orifice": 0.1125, "thermocouple": 0.3375, "board": 0.45}, abs=1e-15
    )


def test_what_does_not_apply_drops_out_with_all_that_hangs_on_it():
    sm = specialise(symptom(), {"ignition": "direct-spark"})
    assert sm["hypotheses"] == ["board", "normal", "orifice", "other"]
    assert sm["prior"]["board"] == pytest.approx(0.72, abs=1e-15)
    assert sm["checks"] == []
    assert sm["remedies"] == []
    assert sm["missing"] == []


def test_unknown_stays_in_and_is_asked_for():
    sm = specialise(symptom(), {})
    assert "thermocouple" in sm["hypotheses"]
    assert sm["missing"] == ["ignition"]


def test_a_first_check_stays_though_it_tells_no_fault_apart():
    kept = specialise(symptom(checks=[check("p/water", {"*": [0.1, 0.9]}, first=True)]), {})
    dropped = specialise(symptom(checks=[check("p/water", {"*": [0.1, 0.9]})]), {})
    assert [c["id"] for c in kept["checks"]] == ["p/water"]
    assert dropped["checks"] == []


@pytest.mark.parametrize(
    ("condition", "volume", "applies"),
    [
        ({"low": 0.0378541}, 0.0378541 * (1 - 1e-12), True),
        ({"low": 0.0378541}, 0.03785, False),
        ({"high": 0.0378541}, 0.0378541 * (1 - 1e-12), False),
        ({"high": 0.0378541}, 0.03785, True),
        ({"any": [0.0227, 0.0378541]}, 0.0378541 * (1 + 1e-12), True),
        ({"any": [0.0227]}, 0.0228, False),
        ({"low": 0.02, "high": None}, 0.03, True),
    ],
)
def test_conditions_on_quantities(condition, volume, applies):
    act = check("p/c", {"*": [0.1, 0.9], "board": [0.9, 0.1]}, when=[{"name": "volume", **condition}])
    sm = specialise(symptom(checks=[act]), {"volume": volume})
    assert [c["id"] for c in sm["checks"]] == (["p/c"] if applies else [])


def test_all_conditions_must_hold_and_one_that_fails_settles_it():
    act = check("p/c", {"*": [0.1, 0.9], "board": [0.9, 0.1]}, when=PILOT + LARGE)
    compiled = symptom(checks=[act])
    compiled["faults"] = [f for f in compiled["faults"] if f["id"] != "thermocouple"]
    assert specialise(compiled, {"volume": 0.02})["missing"] == []
    assert specialise(compiled, {"volume": 0.02})["checks"] == []
    assert specialise(compiled, {"volume": 0.04})["missing"] == ["ignition"]
    assert len(specialise(compiled, {"volume": 0.04})["checks"]) == 1


MINUTES = {"calculator": "heat-up", "output": "time", "plus": 10.0, "typical": 50.0, "needs": ["volume"]}


@pytest.mark.parametrize(
    ("plate", "calculators", "minutes", "missing"),
    [
        ({"volume": 0.04}, {"heat-up": heat_up}, 0.04 * 75000 / 60 + 10, []),
        ({}, {"heat-up": heat_up}, 50.0, ["volume"]),
        ({"volume": 0.04}, {}, 50.0, []),
        ({"volume": 0.04}, {"heat-up": lambda plate: {"time": 1 / 0}}, 50.0, []),
        ({"volume": 0.04}, {"heat-up": lambda plate: {"time": float("inf")}}, 50.0, []),
        ({"volume": 0.04}, {"heat-up": lambda plate: None}, 50.0, []),
    ],
)
def test_minutes_of_a_calculator_or_the_typical_ones(plate, calculators, minutes, missing):
    act = remedy("p/board", ["board"], proof_minutes=MINUTES)
    sm = specialise(symptom(remedies=[act]), {"ignition": "pilot", **plate}, calculators)
    assert sm["remedies"][0]["proof_minutes"] == pytest.approx(minutes, abs=1e-12)
    assert sm["missing"] == missing


SMALL = [{"name": "volume", "high": 0.0378541}]
PRICES = [
    {"when": SMALL, "usd": 28.0, "wait_minutes": 0.0},
    {"when": LARGE, "usd": 95.0, "wait_minutes": 30.0},
]


@pytest.mark.parametrize(
    ("prices", "plate", "usd", "minutes", "fits"),
    [
        (PRICES, {"volume": 0.02}, 28.0, 28 / 150 * 60, True),
        (PRICES, {"volume": 0.05}, 95.0, 95 / 150 * 60 + 30, True),
        (PRICES, {}, 95.0, 95 / 150 * 60 + 30, None),
        (PRICES[1:], {"volume": 0.02}, 95.0, 95 / 150 * 60 + 30, False),
        (None, {"volume": 0.02}, 0.0, 0.0, True),
    ],
)
def test_the_part_for_this_unit_is_priced_in_minutes(prices, plate, usd, minutes, fits):
    sm = specialise(symptom(remedies=[remedy("p/board", ["board"], price=prices)]), plate)
    got = sm["remedies"][0]
    assert (got["usd"], got["fits"]) == (usd, fits)
    assert got["part_minutes"] == pytest.approx(minutes, abs=1e-12)


def _limits(plate):
    limits = [
        {"when": PILOT, "low": 1.0, "high": None, "safety": False, "source_kind": "memory"},
        {"when": [{"name": "ignition", "any": ["direct-spark"]}], "low": 2.0, "high": None, "safety": True},
    ]
    act = check("p/c", {"*": [0.1, 0.9], "board": [0.9, 0.1]}, measure={"names": ["x"], "limits": limits})
    return specialise(symptom(checks=[act]), plate)["checks"][0]


def test_exactly_one_band_judges_and_an_unknown_unit_shows_all():
    pilot, spark, unknown = _limits({"ignition": "pilot"}), _limits({"ignition": "direct-spark"}), _limits({})
    assert (pilot["measure"]["band"]["low"], pilot["safety"]) == (1.0, False)
    assert (spark["measure"]["band"]["low"], spark["safety"]) == (2.0, True)
    assert (unknown["measure"]["band"], unknown["safety"]) == (None, True)
    assert [limit["low"] for limit in unknown["measure"]["limits"]] == [1.0, 2.0]


def test_the_only_band_judges_nothing_while_it_may_not_apply():
    measure = {"names": ["x"], "limits": [{"when": PILOT, "low": 1.0, "high": None}]}
    act = check("p/c", {"*": [0.1, 0.9], "board": [0.9, 0.1]}, measure=measure)
    compiled = symptom(checks=[act])
    bands = [specialise(compiled, plate)["checks"][0]["measure"]["band"] for plate in ({}, {"ignition": "pilot"})]
    assert bands == [None, measure["limits"][0]]


def test_of_parts_that_cost_the_same_the_first_listed_counts():
    prices = [{"when": LARGE, "usd": usd, "wait_minutes": wait} for usd, wait in ((50.0, 0.0), (25.0, 10.0))]
    sm = specialise(symptom(remedies=[remedy("p/board", ["board"], price=prices)]), {})
    assert sm["remedies"][0]["usd"] == 50.0


def test_a_model_is_left_as_it_was():
    compiled = symptom()
    before = repr(compiled)
    belief(specialise(compiled, {}), {"results": {"p/flame": {"v": {"bad": 1.0}}}})
    assert repr(compiled) == before


def test_the_plate_value_that_most_things_wait_for_is_named():
    unsure = [{"name": "board", "any": ["standard"]}]
    size = [{"name": "volume", "low": 0.02}]
    compiled = model(faults={"a": 1.0}, checks=[check("one", {"*": [0.1, 0.9], "a": [0.9, 0.1]}, when=unsure),
                                               check("two", {"*": [0.1, 0.9], "a": [0.9, 0.1]}, when=unsure),
                                               check("three", {"*": [0.1, 0.9], "a": [0.9, 0.1]}, when=size)])
    assert specialise(compiled, {})["ask_first"] == "board"
    assert specialise(compiled, {"board": "standard"})["ask_first"] == "volume"
    assert specialise(compiled, {"board": "standard", "volume": 0.03})["ask_first"] is None
