"""Why an act comes next, what another way costs, and what to load: as said, and the same in both languages."""

import random

import pytest
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.guide import guide
from sparkgap.diagnosis.outlook import outlook
from sparkgap.diagnosis.reasons import count, instead, minutes, plain, reason
from sparkgap.diagnosis.specialise import specialise
from sparkgap.diagnosis.truck import stay, truck

from tests.diagnosis.models import check, found, model, random_evidence, random_model, remedy
from tests.js import engine
from tests.loaded import shipped

WORDS = {"tools": {"lamp": "Lamp and mirror", "gauge": "U-tube gauge"}, "faults": {"a": "Valve stuck", "b": "Wire off"},
         "access": {"cover": "Cover off"}, "parts": {"valve": "Gas valve"}, "plate": {}}
FILES = ("belief.js", "plan.js", "outlook.js", "reasons.js", "truck.js")
COVER = {"cover": {"open": 3.0, "close": 5.0, "title": "Cover off"}}
SCRIPT = """(cases) => cases.map(([compiled, plate, evidence, words]) => {
  const sm = Sparkgap.belief.specialise(compiled, plate, {});
  const result = Sparkgap.plan.guide(compiled, plate, evidence, {});
  const told = Sparkgap.outlook(sm, evidence);
  const acts = Object.fromEntries(sm.checks.concat(sm.remedies).map((act) => [act.id, act]));
  return [result.next.map((one) => Sparkgap.reasons.reason(one, acts, result, words)),
    result.next.map((one) => Sparkgap.reasons.instead(one, result.next[0], acts, words)),
    Sparkgap.truck(compiled.title, result, told, words)];
})"""


def said(compiled: dict, evidence: dict, words: dict, plate: dict | None = None) -> tuple[list, list, list]:
    """All that is said of a state: reasons, what other ways cost, and the truck list."""
    narrowed, result = specialise(compiled, plate or {}), guide(compiled, plate or {}, evidence)
    acts = {act["id"]: act for act in (*narrowed["checks"], *narrowed["remedies"])}
    return ([reason(one, acts, result, words) for one in result["next"]],
            [instead(one, result["next"][0], acts, words) for one in result["next"]],
            truck(compiled["title"], result, outlook(narrowed, evidence), words))


def titles(compiled: dict) -> dict:
    """The words for a compiled symptom."""
    knowledge = shipped()
    return {"faults": {fault["id"]: fault["title"] for fault in compiled["faults"]},
            "access": {name: one["title"] for name, one in compiled["access"].items()},
            **{kind: {name: one.title for name, one in getattr(knowledge, kind).items()}
               for kind in ("tools", "parts", "plate")}}


def pair(**keys) -> dict:
    parts = {"checks": [check("look", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, minutes=2.0),
                        check("read", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, minutes=9.0, access=["cover"], tier=1,
                              tools=["gauge", "lamp"])],
             "remedies": [remedy("fit-a", ["a"], 20.0, proof_minutes=10.0, part="valve", tools=["lamp"],
                                 price=[{"when": [], "usd": 50.0, "wait_minutes": 30.0}]),
                          remedy("fit-b", ["b"], 40.0)],
             "faults": {"a": 3.0, "b": 1.0}, "access": COVER, "call_minutes": 900.0, "back_minutes": 900.0,
             "normal": 0.0, "other": 0.1}
    compiled = model(**{**parts, **keys})
    for act in (*compiled["checks"], *compiled["remedies"]):
        act.update({"tools": act.get("tools", []), "gates": act.get("gates", [])})
    return compiled


def by_id(compiled: dict, evidence: dict) -> dict[str, tuple[str, dict]]:
    names = [one["id"] for one in guide(compiled, {}, evidence)["next"]]
    reasons, others, _ = said(compiled, evidence, WORDS)
    return {name: (why, other) for name, why, other in zip(names, reasons, others, strict=True)}


def test_the_words_by_hand():
    assert (count(1, "cause"), count(12, "cause"), count(13, "cause")) == ("one cause", "twelve causes", "13 causes")
    assert (minutes(0.2), minutes(2.5), minutes(50.4)) == ("one minute", "three minutes", "50 minutes")
    assert (plain("Lamp and mirror"), plain("U-tube gauge"), plain("CO cell"), plain("12 V lamp")) == (
        "lamp and mirror", "U-tube gauge", "CO cell", "12 V lamp")


def test_a_look_says_what_it_can_clear_and_what_it_takes():
    got = by_id(pair(), {})
    assert got["look"][0] == "Can clear one of two causes, two minutes, needs no tools."
    assert got["read"][0] == "Can clear one of two causes, twelve minutes, needs U-tube gauge and lamp and mirror."
    assert got["look"][1] == {"more": 0.0, "why": []}
    assert got["read"][1]["why"] == [
        "first cover off", "needs U-tube gauge and lamp and mirror", "takes twelve minutes"]
    assert got["read"][1]["more"] == pytest.approx(
        guide(pair(), {}, {})["next"][1]["value"] - guide(pair(), {}, {})["value"], abs=1e-9)


def test_a_repair_says_its_chance_without_the_price_of_its_part():
    got = by_id(pair(), found(look="bad"))
    assert got["fit-a"][0] == ("Ends the cause with >99 %, 30 minutes with its proof, needs lamp and mirror, "
                               "takes a part.")


def test_what_comes_first_or_free_says_so():
    first = pair(checks=[check("look", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, minutes=2.0, first=True)])
    assert by_id(first, {})["look"][0].startswith("Comes before anything is fired or energised. Can clear")


def test_the_stay_names_its_range_and_the_waiting():
    told = {"minutes": 42.4, "low": 38.0, "high": 61.6, "courses": {"a": {"end": "proved", "wait": 30.0}}}
    assert stay(told) == "about 42 min (38 to 62), waiting for parts besides"
    assert stay({**told, "low": 42.0, "high": 42.0, "courses": {"a": {"end": "call", "wait": 30.0}}}) == "about 42 min"


def test_the_truck_list_by_hand():
    lines = said(pair(), {}, WORDS)[2]
    assert lines[0] == "Truck list: Does not heat"
    assert lines[1].startswith("Likeliest: Valve stuck, 6")
    assert lines[lines.index("Parts") + 1] == "  75 %  Gas valve"
    tools = lines.index("Tools")  # the lamp is used whichever it is, the gauge only when the look clears the valve
    assert lines[tools + 1:tools + 3] == ["  100 %  Lamp and mirror", "  25 %  U-tube gauge"]


def test_both_languages_say_the_same_on_random_models():
    js, cases = engine(*FILES), []
    for seed in range(3000, 3120):
        compiled = random_model(seed)
        draw = random.Random(seed)
        for act in (*compiled["checks"], *compiled["remedies"]):
            act["tools"] = sorted(draw.sample(["lamp", "gauge", "unnamed"], draw.randint(0, 3)))
            act["gates"] = ["g"] * draw.randint(0, 2)
        words = {**WORDS, "access": {name: f"{name} off" for name in compiled["access"]}}
        cases.append([compiled, {}, random_evidence(seed, compiled), words])
    python = [list(said(c, e, w, p)) for c, p, e, w in cases]
    for one, other in zip(js.call(SCRIPT, cases), python, strict=True):
        _same(one, other)
    assert sum(len(one[1]) for one in python) > 300


@pytest.mark.parametrize("symptom", ["no-ignition-attempt", "relief-valve-weeps"])
def test_both_languages_say_the_same_of_shipped_symptoms(symptom):
    js, compiled = engine(*FILES), compile_symptom(shipped(), symptom)
    for who in (["owner"], ["technician"], ["technician", "gas-qualified", "electrical-qualified"]):
        case = [compiled, {}, {"who": who}, titles(compiled)]
        python = said(compiled, {"who": who}, titles(compiled))
        _same(js.call(SCRIPT, [case])[0], list(python))
        assert all(one.endswith(".") for one in python[0])


def _same(one: list, other: list) -> None:
    assert (one[0], one[2]) == (other[0], other[2])
    assert [told["why"] for told in one[1]] == [told["why"] for told in other[1]]
    assert [told["more"] for told in one[1]] == pytest.approx([told["more"] for told in other[1]], abs=1e-9)
