"""The browser's engine and Python's: the same corpus, and the same answers on random models."""

import json
from pathlib import Path

import pytest
from sparkgap.diagnosis import guide

from tests.diagnosis.models import HEAT_UP_JS, heat_up, random_evidence, random_model, random_plate
from tests.js import engine

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "diagnosis.json").read_text(encoding="utf-8"))
GUIDE = f"(cases) => cases.map((c) => Sparkgap.plan.guide(c[0], c[1], c[2], {{'heat-up': {HEAT_UP_JS}}}))"
CLOSE = 1e-9


@pytest.fixture(scope="module")
def js():
    return engine("belief.js", "plan.js")


def same(got, expected, where="$"):
    """Equal in shape and names, numbers within 1e-9 of their size or of one."""
    if isinstance(expected, dict):
        assert sorted(got) == sorted(expected), where
        for name, value in expected.items():
            same(got[name], value, f"{where}.{name}")
    elif isinstance(expected, list):
        assert len(got) == len(expected), where
        for number, value in enumerate(expected):
            same(got[number], value, f"{where}[{number}]")
    elif isinstance(expected, float):
        assert got == pytest.approx(expected, rel=CLOSE, abs=CLOSE), where
    else:
        assert got == expected, where


def _case(vector):
    return [vector["model"], vector["plate"], vector["evidence"]]


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors_in_python(vector):
    same(guide(*_case(vector), {"heat-up": heat_up}), vector["expect"])


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors_in_javascript(js, vector):
    same(js.call(GUIDE, [_case(vector)])[0], vector["expect"])


def test_vectors_are_told_apart_by_name():
    assert len({vector["name"] for vector in VECTORS}) == len(VECTORS)


def _random_cases(seeds):
    cases = []
    for seed in seeds:
        compiled = random_model(seed)
        cases.append([compiled, random_plate(seed), random_evidence(seed, compiled)])
    return cases


def test_both_engines_agree_on_random_models(js):
    cases = _random_cases(range(1000, 1400))
    python = [guide(*case, {"heat-up": heat_up}) for case in cases]
    browser = js.call(GUIDE, cases)
    for number, (one, other) in enumerate(zip(browser, python, strict=True)):
        same(one, other, f"model {number}")
    seen = [got["next"][0]["kind"] for got in python]
    assert {kind: seen.count(kind) >= 20 for kind in set(seen)} == dict.fromkeys(
        ["check", "remedy", "call", "normal"], True
    )
    assert sum(got["conflict"] is not None for got in python) >= 3
    assert sum(got["two"] is not None for got in python) >= 20
    assert sum(got["pending_first"] != [] for got in python) >= 20
    assert sum(got["missing"] != [] for got in python) >= 20
    assert sum(len(got["next"]) > 4 for got in python) >= 20


def test_both_engines_agree_on_a_large_model_and_look_two_steps_ahead(js):
    compiled = random_model(7, faults=15, checks=16, remedies=15, plain=True)
    for act in compiled["checks"]:
        act.update(first=False, free=False)
    evidence = {"who": ["technician", "gas-qualified"]}
    python = guide(compiled, {}, evidence)
    assert python["depth"] == 2
    assert len(python["next"]) == 16 + 15 + 2
    same(js.call(GUIDE, [[compiled, {}, evidence]])[0], python)


def test_both_engines_agree_when_they_look_three_steps_ahead(js):
    cases = []
    for seed in range(1500, 1530):
        compiled = random_model(seed, faults=4, checks=4, remedies=4, look_ahead=3, look_ahead_limit=1e7)
        cases.append([compiled, {}, random_evidence(seed, compiled)])
    python = [guide(*case, {"heat-up": heat_up}) for case in cases]
    assert {one["depth"] for one in python} == {3}
    for number, (one, other) in enumerate(zip(js.call(GUIDE, cases), python, strict=True)):
        same(one, other, f"model {number}")


def test_an_unknown_time_of_fitting_is_refused(js):
    compiled = random_model(7, remedies=1)
    evidence = {"replaced": [{"part": "valve", "when": "yesterday"}]}
    script = """(model, evidence) => {
        try { Sparkgap.plan.guide(model, {}, evidence, {}); } catch (e) { return e.message; } }"""
    assert js.call(script, compiled, evidence) == "replaced: unknown time yesterday"
    with pytest.raises(ValueError, match="replaced: unknown time yesterday"):
        guide(compiled, {}, evidence)
