"""The minutes that are left, cause by cause, and what to load: by hand, and the same in both languages."""

import pytest
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.outlook import outlook
from sparkgap.diagnosis.specialise import specialise

from tests.diagnosis.models import check, found, model, random_evidence, random_model, remedy
from tests.diagnosis.test_engines import same
from tests.js import engine
from tests.loaded import shipped

TELLS = check("tell", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, minutes=4.0, access=["cover"], tools=["lamp"])
FIT_A = remedy("fit-a", ["a"], 20.0, access=["cover"], proof_minutes=10.0, proof_closes=["cover"], part="valve",
               tools=["wrench"], price=[{"when": [], "usd": 50.0, "wait_minutes": 30.0}])
FIT_B = remedy("fit-b", ["b"], 40.0, tools=["wrench", "meter"])
COVER = {"cover": {"open": 3.0, "close": 5.0}}
SCRIPT = "(cases) => cases.map((c) => Sparkgap.outlook(Sparkgap.belief.specialise(c[0], c[1], {}), c[2]))"


def narrowed(**keys):
    parts = {"checks": [TELLS], "remedies": [FIT_A, FIT_B], "faults": {"a": 3.0, "b": 1.0}, "access": COVER,
             "call_minutes": 900.0, "back_minutes": 900.0, "normal": 0.0, "other": 0.1}
    return specialise(model(**{**parts, **keys}), {})


@pytest.fixture(scope="module")
def js():
    return engine("belief.js", "plan.js", "outlook.js")


def test_the_courses_by_hand():
    got = outlook(narrowed(), {})
    # cause a: open and look, repair through the open cover, close it for the proof; the part costs no minutes here
    assert got["courses"]["a"] == {"minutes": 3 + 4 + 20 + 5 + 10, "wait": 30.0, "end": "proved",
                                   "acts": [["check", "tell"], ["remedy", "fit-a"]]}
    # cause b: open and look, the other repair, close at the end
    assert got["courses"]["b"] == {"minutes": 3 + 4 + 40 + 5, "wait": 0.0, "end": "proved",
                                   "acts": [["check", "tell"], ["remedy", "fit-b"]]}
    assert got["share"] == pytest.approx(0.9, abs=1e-12)
    assert got["minutes"] == pytest.approx(0.75 * 42 + 0.25 * 52, abs=1e-9)
    assert (got["low"], got["high"]) == (42, 52)


def test_the_range_leaves_out_the_rare_long_job():
    got = outlook(narrowed(faults={"a": 95.0, "b": 5.0}), {})
    assert (got["low"], got["high"]) == (38, 38)  # so sure of a that the look is left out


def test_what_to_load_is_ranked_by_how_likely_it_is_needed():
    got = outlook(narrowed(), {})
    assert [one["id"] for one in got["tools"]] == ["lamp", "wrench", "meter"]
    assert [one["p"] for one in got["tools"]] == pytest.approx([1.0, 1.0, 0.25], abs=1e-12)
    assert got["parts"] == [{"id": "valve", "p": pytest.approx(0.75, abs=1e-12)}]


def test_what_follows_each_answer():
    told = outlook(narrowed(), {})["then"]
    assert told == {"check": "tell", "answers": {"bad": {"kind": "remedy", "id": "fit-a"},
                                                 "ok": {"kind": "remedy", "id": "fit-b"}}}
    assert outlook(narrowed(), found(tell="bad"))["then"] == {}


def test_causes_that_end_in_a_call_have_no_minutes():
    got = outlook(narrowed(remedies=[]), {})
    assert {one["end"] for one in got["courses"].values()} == {"call"}
    assert (got["minutes"], got["low"], got["high"], got["share"]) == (None, None, None, 0.0)


def test_causes_below_a_hundredth_are_not_followed():
    assert list(outlook(narrowed(faults={"a": 999.0, "b": 1.0}), {})["courses"]) == ["a"]


def test_both_languages_tell_the_same_on_random_models(js):
    cases = []
    for seed in range(2000, 2120):
        compiled = random_model(seed)
        cases.append([compiled, {}, random_evidence(seed, compiled)])
    python = [outlook(specialise(c, plate), evidence) for c, plate, evidence in cases]
    for number, (one, other) in enumerate(zip(js.call(SCRIPT, cases), python, strict=True)):
        same(one, other, f"model {number}")
    assert sum(one["minutes"] is not None for one in python) >= 40
    assert sum(len(one["then"].get("answers", {})) > 1 for one in python) >= 20


@pytest.mark.parametrize("symptom", ["burner-drops-out-in-seconds", "no-heat-either"])
def test_both_languages_tell_the_same_of_shipped_symptoms(js, symptom):
    compiled = compile_symptom(shipped(), symptom)
    who = ["technician", "gas-qualified", "electrical-qualified"]
    python = outlook(specialise(compiled, {}), {"who": who})
    same(js.call(SCRIPT, [[compiled, {}, {"who": who}]])[0], python)
    assert 0 < python["low"] <= python["minutes"] <= 1.5 * python["high"]
    assert all(one["end"] == "proved" for one in python["courses"].values())
