"""sparkgap intake."""

from __future__ import annotations


def test_danger_comes_first_then_symptoms_then_facts(run):
    ran = run("intake", "Opened the tap and nothing happens for ten minutes. It smells like propane!")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[:7] == ["STOP: Smell of gas (from: smells like propane)", "  1. Everybody out.",
                         "  2. Touch no switch.", "  Call the gas supplier from outside.",
                         "  Before anyone works on it:", "  - No smell anywhere.", ""]
    assert "pump-silent  Pump stays silent (because of: opened" in lines[7]
    assert lines[8:] == ["        said: 10 min (duration)"]


def test_words_that_fit_nothing(run):
    for words in ("", "zzz", "the"):
        assert run("intake", words).out == (
            "Nothing in the knowledge fits these words. Say what the unit does, or go by its system:\n"
            "        12 V power: 1 symptom\n        Fresh water: 1 symptom\n")


def test_json(run):
    found = run("intake", "lights are dim, 12.1 volts", "--json").json("intake")
    assert [one["id"] for one in found["symptoms"]] == ["lights-dim"]
    assert found["facts"] == [{"quantity": "voltage", "text": "12.1 V"}]
    assert found["emergencies"] == []


def test_bytes_that_are_no_text_are_no_crash(run):
    assert run("intake", "pump\udcff dead", "--json").json("intake")["complaint"] == "pump\ufffd dead"
