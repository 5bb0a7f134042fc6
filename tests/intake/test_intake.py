"""What a complaint yields: danger, symptoms, facts."""

from __future__ import annotations

import dataclasses
import time
from functools import cache

import pytest
from jsonschema import Draft202012Validator
from sparkgap.intake import build_index, intake
from sparkgap.intake.numbers import facts
from sparkgap.intake.words import clauses, grams, stem, terms, words
from sparkgap.knowledge.schemas import validator

from tests.intake.complaints import ACCEPTANCE, ALL
from tests.loaded import base, shipped


@cache
def index(which) -> dict:
    return build_index(which())


@cache
def results() -> list[dict]:
    """Every complaint with the shipped knowledge."""
    return [intake(text, index(shipped)) for text in ALL]


def dangers(text: str, which=base) -> list[str]:
    return [one["id"] for one in intake(text, index(which))["emergencies"]]


def symptoms(text: str, which=base) -> list[str]:
    return [one["id"] for one in intake(text, index(which))["symptoms"]]


def test_words_stems_and_clauses():
    assert words("The Heater's brûleur: it’s 12V!") == ["the", "heater's", "bruleur", "it's", "12v"]
    assert [stem(w) for w in ("quits", "running", "stopped", "leaves", "hissing", "gas", "ties", "cooled", "ring")] == [
        "quit", "run", "stop", "leav", "his", "gas", "tie", "cool", "ring"]
    assert terms("It is the pump, and the pump hums") == ["pump", "pump", "hum"]
    assert clauses("no heat, smell gas. Why?") == [["no", "heat"], ["smell", "gas"], ["why"], []]
    assert grams("gas") == ["<g", "as", "ga", "s>"]


def test_owners_words_find_the_symptom():
    assert symptoms("my water pump is dead") == ["pump-silent"]
    assert symptoms("the lights are so dim") == ["lights-dim"]
    assert symptoms("lights dim and no sound from the pump")[0] == "pump-silent"


def test_a_misspelt_word_counts_by_how_near_it_is():
    right, wrong = (intake(text, index(base))["symptoms"][0] for text in ("opened the tap", "opeened the tap"))
    assert right["id"] == wrong["id"] == "pump-silent"
    assert right["because"] == ["open", "tap", "open tap"]
    assert wrong["score"] < right["score"]
    assert symptoms("lihgts are dimm") == ["lights-dim"]


def test_words_that_say_nothing_find_nothing():
    for text in ("", "hello please thanks", "the of and", "zzz qqq", "💧"):
        assert symptoms(text) == []


def test_scores_descend_and_say_what_they_rest_on():
    for result in results():
        found = result["symptoms"]
        scores = [one["score"] for one in found]
        assert scores == sorted(scores, reverse=True) and all(score >= 0.8 for score in scores)
        assert all(one["because"] for one in found)


@pytest.mark.parametrize("text", ["there is a smell of gas", "gas smell!", "it smells like propane", "no i smell gas",
                                  "propane it smells like", "no heat, smell of gas", "won't light smells of gas",
                                  "can't stop the smell of gas", "never a smell of gas like this",
                                  "smell gas no doubt", "No smell of gas. But now a gas smell.",
                                  "smells  like PROPANE", "smell of gass", "a smell, perhaps of gas"])
def test_danger_is_heard_however_it_is_said(text):
    assert dangers(text) == ["gas-smell"]


@pytest.mark.parametrize("text", ["no smell of gas", "there isn't any smell of gas", "isnt a smell of gas",
                                  "not a gas smell", "don't smell gas", "cannot smell any gas",
                                  "without the smell of gas", "runs on gas", "the pump smells", "gas", "smell", ""])
def test_what_is_denied_or_harmless_is_no_danger(text):
    assert dangers(text) == []


def test_two_dangers_are_both_told_with_what_to_do():
    found = intake("smoke from the pump and a smell of gas", index(base))["emergencies"]
    assert [one["id"] for one in found] == ["burning-smell", "gas-smell"]
    assert found[1] == {"id": "gas-smell", "title": "Smell of gas", "now": ["Everybody out.", "Touch no switch."],
                        "call": "Call the gas supplier from outside.", "because": "smell of gas",
                        "url": "kb/stop.html#emergency-gas-smell"}


def test_a_danger_phrase_of_words_that_say_nothing_is_left_out():
    knowledge = dataclasses.replace(base(), emergencies={
        "x": dataclasses.replace(base().emergencies["gas-smell"], id="x", phrases=("it is the", "smell of gas"))})
    assert [p["said"] for p in build_index(knowledge)["emergencies"]["x"]["phrases"]] == ["smell of gas"]


@pytest.mark.parametrize(("text", "found"), [
    ("twelve-gallon", ["12 gal"]), ("12.6v", ["12.6 V"]), ("twenty-five min", ["25 min"]),
    ("12,000 btu", ["12000 Btu/h"]), ("eleven minutes and 40 secs", ["11 min", "40 s"]),
    ("one hundred twenty volts", ["120 V"]),
    ("a hundred and twenty volts", ["120 V"]), ("two hundred fifty thousand btu", ["250000 Btu/h"]),
    ("a thousand watts", ["1000 W"]), ("-5 degrees", ["-5 degF"]), ("minus twenty degrees", ["-20 degF"]),
    ("10-15 minutes", ["15 min"]), ("3 a day", []), ("15a fuse", ["15 A"]), ("2 amps", ["2 A"]), ("1.2.3 v", []),
    ("99999999999999 min", []), ("minutes eleven", []), ("１２ gal", ["12 gal"]), ("12gal", ["12 gal"]),
    ("11 inH2O", []),
    ("5 minus 3 gallons", ["3 gal"]), ("60 psi", ["60 psi"]), ("hundred volts", []), ("0 min", ["0 min"]),
])
def test_facts_in_the_words(text, found):
    assert [one["text"] for one in facts(text)] == found


def test_facts_are_quantities_that_can_be_read():
    from sparkgap.quantities import parse_quantity

    seen = [one for text in ALL for one in facts(text)]
    assert len(seen) > 30
    for one in seen:
        parse_quantity(one["text"], one["quantity"])


def test_five_thousand_characters_take_no_time():
    text = "".join(f"heeter{n} burnner{n * 7} " for n in range(400))[:5000]
    intake("warm", index(shipped))
    before = time.perf_counter()
    intake(text, index(shipped))
    assert time.perf_counter() - before < 2


def test_the_result_is_as_its_schema_says():
    schema: Draft202012Validator = validator("intake")
    for result in results():
        schema.validate(result)


def test_the_acceptance_complaint():
    result = intake(ACCEPTANCE, index(shipped))
    assert result["symptoms"][0]["id"] == "burner-quits-early"
    assert result["emergencies"] == []
    assert [one["text"] for one in result["facts"]] == ["12 gal", "11 min"]


def test_every_shipped_phrase_finds_its_own_symptom_without_alarm():
    for symptom in shipped().symptoms.values():
        for phrase in symptom.phrases:
            assert symptom.id in symptoms(phrase, shipped), phrase


def test_every_shipped_danger_phrase_is_heard():
    assert shipped().emergencies
    for emergency in shipped().emergencies.values():
        for phrase in emergency.phrases:
            assert emergency.id in dangers(phrase, shipped), phrase
