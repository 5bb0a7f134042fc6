"""What a complaint yields: danger, refusals, symptoms, facts."""

from __future__ import annotations

import dataclasses
import time
from functools import cache

import pytest
from jsonschema import Draft202012Validator
from sparkgap.intake import Ranker, build_index, intake
from sparkgap.intake.expressions import Finder, parse
from sparkgap.intake.features import DENIED, FINE, PLAIN, Language, clause_states
from sparkgap.intake.numbers import facts
from sparkgap.intake.spelling import Speller, distance
from sparkgap.intake.words import cut, denied, grams, stem, words
from sparkgap.knowledge.model import Sign, Words
from sparkgap.knowledge.schemas import validator

from tests.intake.complaints import ACCEPTANCE, ALL
from tests.loaded import base, shipped


@cache
def ranker(which) -> Ranker:
    return Ranker(build_index(which()))


@cache
def results() -> list[dict]:
    """Every complaint with the shipped knowledge."""
    return [ranker(shipped).intake(text) for text in ALL]


def dangers(text: str, which=base) -> list[str]:
    return [one["id"] for one in ranker(which).intake(text)["emergencies"]]


def symptoms(text: str, which=base) -> list[str]:
    return [one["id"] for one in ranker(which).intake(text)["symptoms"]]


def with_words(**words_: object) -> Ranker:
    """The base with words of its own."""
    return Ranker(build_index(dataclasses.replace(base(), words=Words(**words_))))


def test_words_stems_and_clauses():
    assert words("The Heater's brûleur: it’s 12V, I'll say won't!") == [
        "the", "heater", "bruleur", "it", "12v", "i", "say", "wont"]
    assert [stem(w) for w in ("quits", "running", "stopped", "hissing", "his", "gas", "fires", "fired", "cooled",
                              "ring", "batteries", "battery", "flue", "flame", "flames", "barely")] == [
        "quit", "run", "stop", "hiss", "his", "gas", "fir", "fir", "cool", "ring",
        "batteri", "batteri", "flue", "flam", "flam", "bar"]
    assert [(one.word, one.clause) for one in cut("no heat, smell gas but why")] == [
        ("no", 1), ("heat", 1), ("smell", 2), ("gas", 2), ("but", 3), ("why", 3)]
    assert grams("gas") == ["<g", "as", "ga", "s>"]


def test_what_is_denied_and_what_is_sound():
    def states(text: str) -> dict[str, str]:
        said = cut(text)
        return {one.word: state for one, state in zip(said, clause_states(said), strict=True)}

    assert states("gas works fine but not electric") | {} == {
        "gas": FINE, "works": FINE, "fine": FINE, "but": PLAIN, "not": PLAIN, "electric": DENIED}
    assert states("won't light, sparks")["light"] == DENIED and states("won't light, sparks")["sparks"] == PLAIN
    said = cut("no smell of gas or smoke. smell gas")
    assert [one.word for one, no in zip(said, denied(said), strict=True) if no] == ["smell", "of", "gas", "or", "smoke"]


def test_spelling_takes_the_nearest_word_and_leaves_common_ones():
    speller = Speller(["leak", "furnac", "light", "thermostat"], ["night"])
    assert [speller.meant(w) for w in ("leek", "furnase", "thermastat", "night", "lihgt", "box", "zzzzzz", "12v")] == [
        "leak", "furnac", "thermostat", "night", "light", "box", "", "12v"]
    assert [distance(*pair, 2) for pair in (("abc", "abc"), ("abc", "acb"), ("abc", "ab"), ("abcd", "wxyz"))] == [
        0, 1, 1, 3]


def test_an_expression_may_have_a_gap_of_three_words():
    gap = parse("shut .. up")
    finder = Finder([gap, "shut"])
    assert gap == "shut .. up"
    assert finder.find(["shut", "the", "alarm", "up"]) == {"shut": [(0, 1)], gap: [(0, 4)]}
    assert finder.find(["shut", "a", "b", "c", "d", "up"]) == {"shut": [(0, 1)]}


def test_a_concept_takes_the_place_of_its_longest_expression():
    language = Language({"hot": "warm", "hot water heater": "heater"}, [], [])
    said = cut("hot water heater hot")
    assert [one.name for one in language.terms(said, [one.stem for one in said])] == ["heater", "warm"]


def test_owners_words_find_the_symptom():
    assert symptoms("my water pump is dead")[0] == "pump-silent"
    assert symptoms("the lights are so dim")[0] == "lights-dim"
    assert symptoms("lights dim and no sound from the pump")[0] == "pump-silent"


def test_a_synonym_finds_what_the_phrases_never_say():
    mine = with_words(synonyms={"lights": ["lights", "lamps"], "dim": ["dim", "faint"]}, systems={}, groups={})
    assert [one["id"] for one in mine.intake("faint bulbs")["symptoms"]] == ["lights-dim"]
    assert symptoms("faint bulbs") == []


def test_what_is_sound_is_no_complaint():
    def first(text: str) -> str:
        return symptoms(text, shipped)[0]

    assert first("gas works but not electric") == "no-heat-on-electric"
    assert first("electric works fine, on gas it quits after ten minutes") == "burner-quits-early"


def test_the_appliance_that_is_named_wins_though_a_side_of_it_works():
    found = ranker(shipped).intake("Electric side of the water heater works, but on gas it sparks and sparks and will "
                                   "not light")["symptoms"]
    assert found[0]["id"] == "sparks-no-light"
    others = [one["score"] for one in found if one["id"].startswith(("fridge-", "furnace-"))]
    assert all(score < found[0]["score"] / 2 for score in others)
    assert symptoms("fridge's electric side works, on gas it clicks and won't light", shipped)[0] == (
        "fridge-electric-not-gas")


def test_a_part_goes_with_the_appliance_that_is_named_beside_it():
    mine = with_words(synonyms={}, systems={"dc-power": ["burner", "lamp"], "fresh-water": ["burner", "pump"],
                                            "cooking": ["stove"]}, groups={})
    named = [{e: sorted(systems) for e, systems in mine._named(*mine.language.read(text)).items()}
             for text in ("burner", "burner of the pump", "burner of the stove", "stove works")]
    assert named == [{"burner": ["dc-power", "fresh-water"]}, {"pump": ["fresh-water"]},
                     {"burner": ["dc-power", "fresh-water"], "stov": ["cooking"]}, {}]


@pytest.mark.parametrize(("text", "kind", "heard"), [
    ("smells like exhaust when the furnace runs", "emergencies", ["carbon-monoxide"]),
    ("smells like ammonia and my eyes burn", "emergencies", ["ammonia"]),
    ("overfilled and it vents", "emergencies", ["gas-smell"]),
    ("plugged in and the fridge gets warm", "emergencies", []),
    ("the plug behind the fridge gets warm", "emergencies", ["fire"]),
    ("burning plastic smell and my eyes burn", "emergencies", ["fire"]),
    ("a torch on the cylinder to warm it", "refusals", ["heat-cylinder"]),
    ("can I bleed an overfilled cylinder", "refusals", ["bleed-cylinder"]),
    ("turn the cooling unit upside down", "refusals", ["open-cooling-unit"]),
    ("recharge the cooling unit", "refusals", ["open-cooling-unit"])])
def test_cylinders_cooling_units_and_fumes(text, kind, heard):
    assert [one["id"] for one in ranker(shipped).intake(text)[kind]] == heard


def test_another_system_takes_away_from_a_score_and_is_offered():
    mine = with_words(synonyms={}, systems={"body-and-chassis": ["slide room"], "fresh-water": ["pump"]}, groups={})
    found = mine.intake("the slide room is stuck")
    assert found["symptoms"] == []
    assert [(one["id"], one["symptoms"]) for one in found["systems"]] == [
        ("body-and-chassis", 0), ("dc-power", 1), ("fresh-water", 1)]
    alone, beside = (mine.intake(text)["symptoms"] for text in ("lights are dim", "slide room lights are dim"))
    assert beside == [] or beside[0]["score"] < alone[0]["score"]


def test_a_misspelt_word_counts_less():
    right, wrong = (ranker(base).intake(text)["symptoms"][0] for text in ("opened the tap", "opeened the tap"))
    assert right["id"] == wrong["id"] == "pump-silent"
    assert (right["because"], wrong["because"]) == (["opened", "tap"], ["opeened", "tap"])
    assert wrong["score"] < right["score"]
    assert symptoms("lihgts are dimm") == ["lights-dim"]


def test_words_that_say_nothing_find_nothing():
    for text in ("", "hello please thanks", "the of and", "zzz qqq", "💧"):
        found = ranker(base).intake(text)
        assert found["symptoms"] == [] and [one["id"] for one in found["systems"]] == ["dc-power", "fresh-water"]


def test_scores_descend_and_say_what_they_rest_on():
    for result in results():
        found = result["symptoms"]
        scores = [one["score"] for one in found]
        assert scores == sorted(scores, reverse=True) and all(score > 0 for score in scores)
        assert all(one["because"] for one in found)
        assert bool(found) != bool(result["systems"])


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


@pytest.mark.parametrize(("text", "heard"), [
    ("we slept late with headaches since we run the furnace", "carbon-monoxide"),
    ("my hair stood up when I touched the door handle", "tingling"), ("dog won't get up", "carbon-monoxide")])
def test_danger_is_heard_without_its_word(text, heard):
    assert heard in dangers(text, shipped)


@pytest.mark.parametrize("text", ["yellow flame on the stove", "the burner won't fire",
                                  "no smoke, no smell, it just quits",
                                  "the outside shower was on and now there is no hot water inside",
                                  "rotten egg smell only from the hot water"])
def test_known_false_alarms_stay_away(text):
    assert dangers(text, shipped) == []


def test_two_dangers_are_both_told_with_what_to_do():
    found = ranker(base).intake("smoke from the pump and a smell of gas")["emergencies"]
    assert sorted(one["id"] for one in found) == ["burning-smell", "gas-smell"]
    assert next(one for one in found if one["id"] == "gas-smell") == {
        "id": "gas-smell", "title": "Smell of gas", "now": ["Everybody out.", "Touch no switch."],
        "call": "Call the gas supplier from outside.", "before": ["No smell anywhere."], "because": "smell of gas",
        "url": "kb/stop.html#emergency-gas-smell"}


def test_a_sign_needs_one_of_each_group_near_together_and_none_of_the_others():
    sign = Sign((("@pain", "dizzy"), ("heater",)), ("joke",), 4)
    gas = dataclasses.replace(base().emergencies["gas-smell"], phrases=(), signs=(sign,))
    pain = Words(groups={"pain": ["headache", "head hurts"]})
    knowledge = dataclasses.replace(base(), emergencies={"x": gas}, words=pain)
    mine = Ranker(build_index(knowledge))

    def heard(text: str) -> list[str]:
        return [one["because"] for one in mine.intake(text)["emergencies"]]

    assert heard("the heater makes my head hurt") == ["heater … head hurt"]
    assert heard("dizzy, by the heater") == ["dizzy … heater"]
    for text in ("dizzy", "heater", "no headache from the heater", "a joke: dizzy heater",
                 "dizzy one two three four five heater"):
        assert heard(text) == []


def test_a_request_that_would_hurt_is_refused_and_the_symptoms_stay():
    found = ranker(shipped).intake("is it ok if I just put a 30 amp fuse in for now, it trips on electric")
    assert [one["id"] for one in found["refusals"]] == ["bigger-fuse"]
    assert found["refusals"][0]["why"] and len(found["refusals"][0]["instead"]) >= 2
    assert found["refusals"][0]["url"] == "kb/refusals.html#refusal-bigger-fuse"
    assert found["symptoms"][0]["id"] == "trips-breaker-on-electric"


def test_a_danger_phrase_of_words_that_say_nothing_is_left_out():
    knowledge = dataclasses.replace(base(), emergencies={
        "x": dataclasses.replace(base().emergencies["gas-smell"], id="x", phrases=("it is the", "smell of gas"))})
    assert [sign["said"] for sign in build_index(knowledge)["emergencies"]["x"]["signs"]] == ["smell of gas"]


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


def test_facts_that_fit_the_data_plate_are_offered_for_it():
    def offered(text: str) -> dict[str, str]:
        return {one["name"]: one["text"] for one in ranker(shipped).intake(text)["plate"]}

    assert offered("twelve gallon, 12,000 btu, runs eleven minutes on 12.4 volts") == {
        "volume": "12 gal", "input": "12000 Btu/h"}
    assert offered("set to 140 degrees, 1440 watts at 120 volts") == {
        "set_point": "140 degF", "element_power": "1440 W", "element_voltage": "120 V"}
    assert offered("40 gallon fresh tank, 20 degrees outside") == {}


def test_five_thousand_characters_take_no_time():
    text = "".join(f"heeter{n} burnner{n * 7} " for n in range(400))[:5000]
    ranker(shipped).intake("warm")
    before = time.perf_counter()
    ranker(shipped).intake(text)
    assert time.perf_counter() - before < 2


def test_the_result_is_as_its_schema_says():
    schema: Draft202012Validator = validator("intake")
    for result in results():
        schema.validate(result)


def test_the_acceptance_complaint():
    result = intake(ACCEPTANCE, build_index(shipped()))
    assert result["symptoms"][0]["id"] == "burner-quits-early"
    assert result["emergencies"] == [] and result["refusals"] == []
    assert [one["text"] for one in result["facts"]] == ["12 gal", "11 min"]
    assert result["plate"] == [{"name": "volume", "title": "Tank volume", "text": "12 gal"}]


def test_every_shipped_phrase_finds_its_own_symptom():
    for symptom in shipped().symptoms.values():
        for phrase in symptom.phrases:
            assert symptom.id in symptoms(phrase, shipped)[:5], phrase


def test_every_shipped_phrase_of_danger_and_refusal_is_heard():
    for kind in ("emergencies", "refusals"):
        assert getattr(shipped(), kind)
        for name, one in getattr(shipped(), kind).items():
            for phrase in one.phrases:
                assert name in [found["id"] for found in ranker(shipped).intake(phrase)[kind]], phrase
