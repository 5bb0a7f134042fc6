"""The owner sheet: nothing on it needs more than an owner, and danger comes first."""

from __future__ import annotations

import dataclasses
import re

import pytest
from sparkgap.jobs.owner_sheet import FIELDS, STOP, owner_checks, sheet_data, sheet_html, sheet_text
from sparkgap.knowledge.needs import access_chain, needed_gates, symptom_checks

from tests.jobs.papers import HOSTILE
from tests.jobs.test_card import Outline, clean
from tests.loaded import base, shipped


@pytest.fixture(scope="module")
def sheets() -> dict[str, dict]:
    """The sheets of all shipped symptoms, as data."""
    return {symptom: sheet_data(shipped(), symptom) for symptom in shipped().symptoms}


def test_nothing_on_a_sheet_needs_more_than_an_owner(sheets):
    knowledge, seen = shipped(), 0
    for symptom, sheet in sheets.items():
        for one in sheet["checks"]:
            check = knowledge.checks[one["gid"]]
            who = {*check.who}
            for access in access_chain(check.access, knowledge):
                who |= {*knowledge.access[access].who}
            for gate in needed_gates(check, knowledge):
                who |= {*knowledge.gates[gate].who}
            assert (who, check.tier, check.requires, check.leaves) == ({"owner"}, 0, {}, {}), (symptom, check.gid)
            seen += 1
    assert seen > 100


def test_what_an_owner_may_do_is_on_the_sheet(sheets):
    for symptom, sheet in sheets.items():
        able = {check.gid for check in symptom_checks(shipped(), symptom)
                if check.who == ("owner",) and check.tier == 0 and not check.access and not check.gates
                and not check.requires and not check.leaves}
        assert able <= {one["gid"] for one in sheet["checks"]}
        assert sheet["checks"], symptom


def test_one_person_too_many_one_state_or_one_gate_takes_a_check_off():
    knowledge, symptom = base(), "pump-silent"
    assert {check.gid for check in owner_checks(knowledge, symptom, {})} == {
        "pump-checks/tank-full", "pump-checks/lights", "supply/fuse-look"}
    lights = knowledge.procedures["pump-checks"].checks["lights"]
    for change in ({"who": ("owner", "technician")}, {"tier": 1}, {"requires": {"power": "off"}},
                   {"leaves": {"power": "on"}}, {"gates": ("trained",)}, {"access": "trained-hatch"}):
        gate = dataclasses.replace(next(iter(knowledge.gates.values())), id="trained", who=("technician",))
        hatch = dataclasses.replace(next(iter(knowledge.access.values())), id="trained-hatch", who=("technician",))
        procedure = knowledge.procedures["pump-checks"]
        other = dataclasses.replace(
            knowledge, gates={**knowledge.gates, "trained": gate}, access={**knowledge.access, "trained-hatch": hatch},
            procedures={**knowledge.procedures, "pump-checks": dataclasses.replace(
                procedure, checks={**procedure.checks, "lights": dataclasses.replace(lights, **change)})})
        assert "pump-checks/lights" not in [check.gid for check in owner_checks(other, symptom, {})], change


def test_what_comes_first_is_asked_first_and_a_unit_leaves_out_what_it_does_not_have():
    knowledge = shipped()
    gids = [check.gid for check in owner_checks(knowledge, "burner-quits-early", {})]
    assert gids[:2] == ["tank-and-bypass/bypass-position", "tank-and-bypass/steady-flow"]
    plate = knowledge.units["demo-six-gas"].plate
    gas = [check.gid for check in owner_checks(knowledge, "burner-quits-early", plate)]
    assert "first-look/other-source" in gids and "first-look/other-source" not in gas


def test_danger_stands_before_every_question_on_paper_and_in_the_message(sheets):
    for sheet in sheets.values():
        text = sheet_text(sheet)
        assert [one["title"] for one in sheet["dangers"][:2]] == [
            "Smell of gas", "Carbon monoxide: alarm or signs of poisoning"]
        said = clean(text)
        assert said.index("Smell of gas: Everybody out") < said.index("Carbon monoxide: alarm") < said.index("1. ")
        assert max(map(len, text.splitlines())) < 80
    outline = Outline(sheet_html(sheets["burner-quits-early"]))
    assert outline.text.index("Smell of gas.") < outline.text.index("The questions")


@pytest.mark.parametrize("symptom", ["burner-quits-early", "water-too-hot", "relief-valve-weeps"])
def test_both_forms_say_everything(symptom, sheets):
    knowledge, sheet = shipped(), sheets[symptom]
    paper, message = Outline(sheet_html(sheet)).text, clean(sheet_text(sheet))
    for form in (paper, message):
        wanted = [sheet["title"], sheet["never"], sheet["then"], *STOP, *FIELDS]
        for gate in sheet["gates"]:
            wanted += [gate.title, gate.says, gate.otherwise]
        for one in sheet["checks"]:
            check = knowledge.checks[one["gid"]]
            wanted += [check.ask_owner or check.ask, check.never, *one["readings"], *one["tools"]]
            wanted += [part for pair in one["answers"] for part in pair]
        assert [part for part in wanted if clean(part) not in form] == []
    assert message.count("[ ]") == sum(len(one["answers"]) for one in sheet["checks"])


def test_a_symptom_without_a_check_for_the_owner_says_so():
    knowledge = base()
    procedures = {name: dataclasses.replace(p, checks={cid: dataclasses.replace(c, who=("technician",))
                                                       for cid, c in p.checks.items()})
                  for name, p in knowledge.procedures.items()}
    other = dataclasses.replace(knowledge, procedures=procedures)
    sheet = sheet_data(other, "pump-silent")
    assert "nothing here that an owner should check alone" in clean(sheet_text(sheet))
    assert "nothing here that an owner should check alone" in Outline(sheet_html(sheet)).text


def test_hostile_text_is_shown_as_text_and_nothing_is_fetched():
    knowledge = base()
    bad = dataclasses.replace(knowledge.symptoms["pump-silent"], title=HOSTILE)
    other = dataclasses.replace(knowledge, symptoms={**knowledge.symptoms, "pump-silent": bad})
    page = sheet_html(sheet_data(other, "pump-silent"))
    assert not re.search(r"<script|<link|<img|@import|url\(|https?:", page)
    assert Outline(page).text.count(HOSTILE) == 2
