"""What the checks of small symptoms do not tell, each by hand, and of the base on the command line."""

import shutil

import pytest
from sparkgap.diagnosis import specialise
from sparkgap.diagnosis.discern import discern

from tests.commands.conftest import run  # noqa: F401  (a fixture)
from tests.diagnosis.models import check, model, remedy
from tests.loaded import BASE

GATES = {"gas-off": {"holds": {"gas": "off"}}, "shoes-on": {"holds": {}}}
LOOK = check("look", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, tier=0, minutes=2.0)
FIT_A, FIT_B = remedy("fit-a", ["a"], 40.0, proof="prove/a"), remedy("fit-b", ["b"], 30.0, proof="prove/b")


def found(checks=(LOOK,), remedies=(FIT_A, FIT_B), faults=None, **keys):
    stops = {"call_minutes": 900.0, "back_minutes": 900.0, "normal": 0.02, "other": 0.02}
    faults = faults or {"a": 1.0, "b": 1.0}
    sm = specialise(model(faults=faults, checks=checks, remedies=remedies, **{**stops, **keys}), {})
    return discern(sm, GATES)


def codes(**keys):
    return [(one["code"], *one["ids"]) for one in found(**keys)]


def test_a_sound_symptom_has_no_findings():
    assert found() == []


def test_faults_that_nothing_tells_apart():
    assert codes(faults={"a": 1.0, "b": 1.0, "c": 1.0}, remedies=(FIT_A, FIT_B, remedy("fit-c", ["c"]))) == [
        ("indistinct", "b", "c")]
    assert codes(faults={"a": 1.0, "b": 1.0, "c": 1.0}, remedies=(FIT_A, remedy("fit-bc", ["b", "c"]))) == [
        ("indistinct-harmless", "b", "c")]


def test_a_fault_without_a_remedy_and_a_remedy_without_a_proof_are_hard():
    got = found(remedies=(FIT_A,))
    assert [(one["code"], one["ids"], one["hard"]) for one in got] == [
        ("fault-unremedied", ["b"], True), ("course-unproved", ["b"], False)]
    for bad in ({"proof": ""}, {"misses": 1.0}):
        got = found(remedies=(FIT_A, {**FIT_B, **bad}), back_minutes=10_000.0)
        assert ("proof-missing", ["fit-b"], True) in [(one["code"], one["ids"], one["hard"]) for one in got]


def test_a_fault_for_which_calling_is_cheaper_has_no_proved_course():
    got = found(remedies=(FIT_A, {**FIT_B, "minutes": 2000.0}), back_minutes=1800.0)
    assert [(one["code"], one["ids"]) for one in got] == [("course-unproved", ["b"])]
    assert got[0]["message"] == "if it is b, the plan ends in a call for help after 1 act"


@pytest.mark.parametrize("tier", [1, 3])
def test_a_start_above_tier_0_is_unsafe(tier):
    assert codes(checks=({**LOOK, "tier": tier, "free": False},)) == [("start-unsafe", "look")]


def test_a_start_that_wants_gas_off_before_the_free_questions_is_unsafe():
    assert codes(checks=({**LOOK, "gates": ["gas-off"]},)) == [("start-unsafe", "look")]
    assert codes(checks=({**LOOK, "gates": ["shoes-on"]},)) == []


def test_a_check_that_says_nothing_new_is_idle():
    dear = check("dear", {"*": [0.02, 0.98], "a": [0.98, 0.02]}, tier=1, minutes=300.0)
    faint = check("faint", {"*": [0.5, 0.5], "a": [0.501, 0.499]}, tier=0, minutes=1.0)
    assert codes(checks=(LOOK, faint)) == [("check-idle", "faint")]  # free, but no answer of it matters
    # After the look the dear one is never worth its minutes, yet its answer would turn the plan round.
    assert codes(checks=(LOOK, dear)) == []
    assert codes(checks=(LOOK, {**dear, "rows": {"*": [0.5, 0.5], "a": [0.5, 0.5]}})) == [("check-idle", "dear")]


def test_a_check_whose_answer_blocks_is_not_idle():
    water = check("water", {"*": [0.5, 0.5], "a": [0.5, 0.5]}, tier=0, minutes=1.0, first=True, blocks=["bad"])
    assert codes(checks=(LOOK, water)) == []
    assert codes(checks=(LOOK, {**water, "blocks": []})) == [("check-idle", "water")]


def test_the_command_prints_each_finding_and_ends_well(run):  # noqa: F811
    ran = run("check", "--discern")
    *lines, last = ran.out.splitlines()
    told = run("check", "--discern", "--json").json("discern")
    each = [(one["path"], finding) for one in told["symptoms"] for finding in one["findings"]]
    assert lines == [f"{path}: {one['code']} {one['message']} ({one['fix']})" for path, one in each]
    assert (ran.code, ran.err, len(told["symptoms"])) == (0, "", 2)
    assert last.startswith("2 symptoms, ")
    one = run("check", "--discern", "--json", str(BASE / "kb/symptoms/dc-power")).json("discern")
    assert [each["symptom"] for each in one["symptoms"]] == ["lights-dim"]


def test_broken_knowledge_is_not_looked_at(run, tmp_path):  # noqa: F811
    folder = shutil.copytree(BASE, tmp_path / "knowledge")
    (folder / "kb/lost.yml").write_text("a: 1\n", "utf-8")
    ran = run("check", "--discern", root=folder)
    assert ran.code == 1 and "kb/lost.yml:1:1: file-stray" in ran.out and ran.out.endswith("1 problem\n")
