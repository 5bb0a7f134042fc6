"""From what is typed to what the engines read."""

from __future__ import annotations

import dataclasses

import pytest
from sparkgap.diagnosis.evidence import EvidenceReader, instrument
from sparkgap.verdict import Instrument, judge, judge_expression

from tests.loaded import base


def reader(unit: str = "demo-brushed") -> EvidenceReader:
    one = EvidenceReader(base())
    if unit:
        one.unit(unit)
    return one


def test_nothing_typed_is_a_technician_who_knows_nothing():
    assert EvidenceReader(base()).evidence == {
        "results": {}, "aside": [], "replaced": [], "failed": [], "open": [], "who": ["technician"]}


def test_a_unit_and_what_is_typed_over_it():
    one = reader()
    one.plate_value("rated_current=6500 mA")
    one.plate_value(" motor = brushless ")
    assert one.plate == {"motor": "brushless", "rated_current": 6.5, "tank": 40 * 3.785411784e-3}
    assert one.problems == []


def test_answers_seen_and_told():
    one = reader()
    one.found("tank-full=full")
    one.found("supply/fuse-look=~blown")
    assert one.evidence["results"] == {"pump-checks/tank-full": {"v": {"full": 1.0}, "hearsay": False},
                                       "supply/fuse-look": {"v": {"blown": 1.0}, "hearsay": True}}


def test_a_reading_is_judged_for_the_unit_with_the_meter():
    one = reader()
    one.reading("motor-current=6.1 A@clamp")
    clamp = Instrument(resolution=0.1, fixed=0.2, percent=0.0, digits=0.0, low=0.0, high=100.0)
    expected = judge(6.1, clamp, 3.0, 6.0, safety=True, source_kind="demo", conformity=0.95)
    assert one.judged["pump-checks/motor-current"] == expected
    assert expected.verdict == "too-close" and expected.held
    assert one.evidence["results"]["pump-checks/motor-current"] == {"v": expected.evidence(), "hearsay": False}


def test_the_variant_of_the_other_unit_gives_the_other_verdict():
    one = reader("demo-brushless")
    one.reading("motor-current=3.4 A@clamp")
    assert one.judged["pump-checks/motor-current"].verdict == "below"


def test_without_a_tool_the_tolerances_own_is_taken():
    named, silent = reader(), reader()
    named.reading("motor-current=5.9 A@clamp")
    silent.reading("motor-current=5.9 A")
    assert named.judged == silent.judged and silent.judged


def test_a_check_with_one_limit_has_no_share_of_the_answer_it_lacks():
    one = reader()
    one.reading("battery-voltage=12.6 V@voltmeter")
    result = one.evidence["results"]["supply/battery-voltage"]["v"]
    assert sorted(result) == ["below", "within"] and sum(result.values()) == pytest.approx(1)


def test_several_readings_are_judged_together():
    one = reader()
    one.reading("voltage-drop=voltage-off:12.60 V@voltmeter, voltage-on:12.25 V@voltmeter")
    meter = Instrument(resolution=0.01, fixed=0.0, percent=0.5, digits=2.0, low=0.0, high=60.0)
    expected = judge_expression(
        lambda v: v["voltage-off"] - v["voltage-on"], {"voltage-off": (12.60, meter), "voltage-on": (12.25, meter)},
        None, 0.5, safety=False, source_kind="demo", conformity=0.95)
    assert one.judged["pump-checks/voltage-drop"] == expected
    assert sorted(one.evidence["results"]["pump-checks/voltage-drop"]["v"]) == ["above", "within"]


def test_what_the_plate_leaves_open_is_not_judged():
    one = reader("")
    one.reading("motor-current=5 A@clamp")
    assert one.judged == {} and one.evidence["results"] == {}
    assert one.problems == ["motor-current: its limits depend on motor: say it with --unit or --plate, then the "
                            "reading can be judged"]


def test_a_reading_that_the_instrument_cannot_show_is_refused_in_words():
    one = reader()
    one.reading("motor-current=120 A@clamp")
    one.reading("voltage-drop=voltage-off:12.6 V@voltmeter,voltage-on:-1 V@voltmeter")
    assert one.judged == {} and one.evidence["results"] == {}
    assert one.problems == [
        "pump-checks/motor-current: 120 A lies above what clamp can show (from 0 A to 100 A): read it with another "
        "instrument and name that after @, or give the answer with --found",
        "pump-checks/voltage-drop: -1 V lies below what voltmeter can show (from 0 V to 60 V): read it with another "
        "instrument and name that after @, or give the answer with --found"]


def test_what_is_given_twice_is_a_problem_and_not_the_last_one():
    one = reader()
    one.found("tank-full=full")
    one.found("pump-checks/tank-full=empty")
    one.reading("motor-current=5 A@clamp")
    one.found("motor-current=above")
    one.reading("motor-current=5.5 A@clamp")
    one.plate_value("motor=brushless")
    one.plate_value("motor=brushed")
    assert one.problems == ["pump-checks/tank-full is given twice: leave the one that holds",
                            "pump-checks/motor-current is given twice: leave the one that holds",
                            "pump-checks/motor-current is given twice: leave the one that holds",
                            "motor is given twice: leave the one that holds"]
    assert one.evidence["results"]["pump-checks/tank-full"]["v"] == {"full": 1.0}
    assert one.plate["motor"] == "brushless"


def test_one_reading_of_several_given_twice_is_a_problem():
    one = reader()
    one.reading("voltage-drop=voltage-off:12.6 V,voltage-on:12.2 V,voltage-on:12.4 V")
    assert one.problems == ["pump-checks/voltage-drop: voltage-on is given twice: leave the one that holds"]
    assert one.judged == {}


def test_an_answer_that_was_wrong_may_be_followed_by_the_right_one():
    one = reader()
    one.found("tank-full=ful")
    one.found("tank-full=full")
    assert len(one.problems) == 1 and list(one.evidence["results"]) == ["pump-checks/tank-full"]


def test_what_stands_open():
    one = reader()
    name = sorted(one.knowledge.access)[0]
    one.open([name, "no-such-cover"])
    assert one.evidence["open"] == [name]
    assert len(one.problems) == 1 and "no-such-cover" in one.problems[0]


def test_parts_remedies_and_checks_set_aside():
    one = reader()
    for text in ("fuse", "pump-motor=before", "fuse=unknown"):
        one.replaced(text)
    one.failed("replace-fuse")
    one.failed("pump-checks/mend-ground")
    one.aside(["lights", "supply/fuse-look"])
    assert one.evidence["replaced"] == [{"part": "fuse", "when": "for-this"}, {"part": "pump-motor", "when": "before"},
                                        {"part": "fuse", "when": "unknown"}]
    assert one.evidence["failed"] == ["supply/replace-fuse", "pump-checks/mend-ground"]
    assert one.evidence["aside"] == ["pump-checks/lights", "supply/fuse-look"]


def test_who_does_the_work():
    one = reader()
    one.who(["owner, technician", "gas-qualified"])
    assert one.evidence["who"] == ["gas-qualified", "owner", "technician"]
    one.who([])
    assert one.evidence["who"] == ["gas-qualified", "owner", "technician"]


def test_an_own_id_of_two_procedures_is_ambiguous():
    supply = base().procedures["supply"]
    twin = dataclasses.replace(supply, id="twin", checks={
        name: dataclasses.replace(check, procedure="twin") for name, check in supply.checks.items()})
    one = EvidenceReader(dataclasses.replace(base(), procedures={**base().procedures, "twin": twin}))
    one.found("fuse-look=whole")
    assert one.problems == ["'fuse-look' is a check of several procedures: "
                            "write one of supply/fuse-look, twin/fuse-look"]
    one.found("twin/fuse-look=whole")
    assert list(one.evidence["results"]) == ["twin/fuse-look"]


@pytest.mark.parametrize("text", ["", "=", "tank-full", "tank-full=", "=full", "  =  "])
def test_what_is_no_pair_is_shown_how_to_write(text):
    one = reader()
    one.found(text)
    assert one.problems == [f"--found {text!r}: write it as --found first-look/repeats=always"]
    assert one.evidence["results"] == {}


def test_a_problem_leaves_the_rest_alone():
    one = reader()
    one.found("tank-full=ful")
    one.found("lights=dim")
    one.reading("motor-current=5 V@clamp")
    assert list(one.evidence["results"]) == ["pump-checks/lights"] and len(one.problems) == 2


def test_no_tool_is_an_exact_meter():
    assert instrument(None) == Instrument()
    assert instrument(base().tools["lamp"]) == Instrument()
    assert instrument(base().tools["voltmeter"]) == Instrument(
        resolution=0.01, fixed=0.0, percent=0.5, digits=2.0, low=0.0, high=60.0)
