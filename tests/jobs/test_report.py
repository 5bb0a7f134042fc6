"""The report and the red tag of a job file: what is recorded, and that what is not is said to be not."""

from __future__ import annotations

import re

import pytest
from sparkgap.jobs.card import render_card
from sparkgap.jobs.findings import job_findings
from sparkgap.jobs.replay import replay
from sparkgap.jobs.report import report_data
from sparkgap.jobs.report_paper import NotLeftOff, red_tag_html, red_tag_text, report_html, report_text
from sparkgap.jobs.words import cleaned, columns, filled

from tests.jobs.jobs import job
from tests.jobs.papers import HOSTILE, full_job, hostile_job, left_off
from tests.jobs.test_card import Outline, clean
from tests.loaded import shipped

RECORDED = [
    "D-1042", "A. Demo", "2026-03-02 09:30 UTC", "2026-03-02 11:20 UTC", "Demo owner", "Demo trailer",
    "Demo twelve, serial DEMO-7", "Burner runs for minutes, then stops before the water is hot", "12 gal (45.4 L)",
    "It runs eleven minutes and quits, and I already changed the thermostat.",
    "Electrode ceramic cracked or loose. A drop of water fell on the hot ceramic.",
    "Repaired. Set the rods: tip in the flame, gap to the gauge: carried out, its proof failed. Fit a new electrode "
    "set: carried out and proved. Fitted a new set, gap to gauge.",
    "without a break until the thermostat ends the run? Recorded as passed by AB, 2026-03-02 10:55 UTC.",
    "at least 1.0 µA", "Recalled or judged, not confirmed", "DC microammeter", "At once (told, not seen)",
    "Set aside: could not be done", "1 × Demo electrode set (Spark electrode with sense rod)",
    "Electrode set, its ceramic cracked through with a brown track (Fit a new electrode set)",
    "Thermostat disc with pad: fitted before this visit, for this complaint", "Door latch is stiff; told the owner.",
    "ceramic.jpg: The crack, lit from the left",
]


def report(of: dict, form=report_html) -> str:
    """The text of a report, its spaces folded."""
    made = form(shipped(), of, replay(shipped(), of))
    return Outline(made).text if form is report_html else clean(made)


@pytest.mark.parametrize("form", [report_html, report_text])
def test_everything_that_is_recorded_is_told(form):
    text = report(full_job(), form)
    assert [part for part in RECORDED if part not in text] == []
    assert "Draft" not in text


def test_a_reading_before_the_first_remedy_stands_beside_the_one_after_the_last():
    full = full_job()
    (row,) = report_data(shipped(), full, replay(shipped(), full))["readings"]
    assert (row["before"], row["between"], row["after"]) == ("0.6 uA, below", "", "3.1 uA, within")
    full["log"].insert(9, {**full["log"][5], "readings": [{**full["log"][5]["readings"][0], "text": "0.9 uA"}]})
    (row,) = report_data(shipped(), full, replay(shipped(), full))["readings"]
    assert (row["before"], row["between"], row["after"]) == ("0.6 uA, below", "0.9 uA, below", "3.1 uA, within")
    untouched = full_job(log=full["log"][:6])
    (row,) = report_data(shipped(), untouched, replay(shipped(), untouched))["readings"]
    assert (row["before"], row["after"]) == ("0.6 uA, below", "")


def test_minutes_are_told_by_phase_and_gates_by_whom_and_when():
    full = full_job(minutes={"find": 32, "repair": 20.4})
    data = report_data(shipped(), full, replay(shipped(), full))
    assert data["minutes"] == [("Travel", "not recorded"), ("Finding the fault", "32"), ("Repair", "20"),
                               ("Proof", "not recorded"), ("Sum", "52")]
    assert data["gates"] == [
        ("No smell of gas", "AB", "2026-03-02 09:40 UTC"), ("Gas off at the cylinder", "AB", "2026-03-02 09:41 UTC"),
        ("Closed up and leak-checked (for the proof of: Fit a new electrode set)", "AB", "2026-03-02 10:40 UTC")]


@pytest.mark.parametrize("form", [report_html, report_text])
def test_an_empty_job_says_of_each_thing_that_it_is_not_recorded(form):
    text = report(job(complaint=""), form)
    for part in ("Draft: the job is open and has no outcome.", "No cause is recorded.", "No correction is recorded.",
                 "No proof is recorded.", "No reading is recorded.", "No finding is recorded.",
                 "No part fitted is recorded.", "No part removed is recorded.", "No time is recorded.",
                 "No gate is recorded.", "No photo is in the job file.", "none recorded"):
        assert part in text, part
    assert text.count("not recorded") >= 5
    assert text.index("Draft") < text.casefold().index("complaint")


def test_a_draft_is_told_from_a_final_report():
    ended = {"end": "normal", "fault": None}
    for keys, says in (({"closed": None, "outcome": ended}, "Draft: an outcome is recorded, the job is not closed."),
                       ({"outcome": None}, "Draft: the job is closed without an outcome."), ({"outcome": ended}, "")):
        full = full_job(**keys)
        assert report_data(shipped(), full, replay(shipped(), full))["draft"] == says


def test_a_last_proof_that_failed_is_not_told_as_passed():
    full = full_job()
    assert "Recorded as failed by AB, 2026-03-02 10:20 UTC." in report(full_job(log=full["log"][:8]))


def test_what_this_knowledge_does_not_have_is_named_and_kept():
    other = full_job(outcome={"end": "repaired", "fault": "gremlin"})
    other["log"] += [{"kind": "done", "at": other["closed"], "id": "none/none", "by": "AB"},
                     {"kind": "gate", "at": other["closed"], "id": "none"}]
    text = report(other)
    assert "gremlin." in text and "none/none (not in this knowledge): carried out and proved." in text
    assert "for a remedy that this knowledge does not have" in text


def test_the_plain_text_fits_a_claim_form():
    for one in (full_job(), left_off(), hostile_job(), job()):
        text = report_text(shipped(), cleaned(one), replay(shipped(), one))
        assert max(map(len, text.splitlines())) < 80
        assert not re.search(r"^\s*[#*=_-]{3,}|\t|[\x00-\x09\x0b-\x1f]", text, re.MULTILINE)


def test_hostile_texts_are_shown_as_text_everywhere():
    bad = cleaned(hostile_job())
    told = replay(shipped(), bad)
    for page in (report_html(shipped(), bad, told), red_tag_html(shipped(), bad),
                 render_card(shipped(), "flame-sense", job_findings(shipped(), bad, told))):
        body = page.split("</style>", 1)[1]
        assert not re.search(r"<script|<link|@import|url\(|</style>", body) and "{{ 7*7 }}" in body
        assert body.count("<img") == body.count('<img src="data:image/jpeg;base64,')
        assert HOSTILE[:40] in Outline(page).text
        assert not re.search("[\u202a-\u202e\x00-\x08\x0b-\x1f]", page)


def test_a_red_tag_says_why_what_was_shut_and_what_must_hold():
    for text in (Outline(red_tag_html(shipped(), left_off())).text, clean(red_tag_text(shipped(), left_off()))):
        assert text.upper().index("DO NOT USE") < text.index("The burner tube is burnt through")
        for part in (*left_off()["outcome"]["red_tag"].values(), "Demo twelve, serial DEMO-7", "A. Demo", "D-1042",
                     "2026-03-02 11:20 UTC"):
            assert part in text


def test_a_red_tag_belongs_to_a_unit_that_was_left_off():
    for one in (full_job(), full_job(outcome=None)):
        with pytest.raises(NotLeftOff):
            red_tag_html(shipped(), one)
    blank = left_off()
    blank["outcome"]["red_tag"] = None
    assert red_tag_html(shipped(), blank).count("paper-blank") > left_off_blanks()


def left_off_blanks() -> int:
    """Lines to write on of a tag that the job file fills in."""
    return red_tag_html(shipped(), left_off()).count("paper-blank")


def test_text_is_cleaned_of_what_steers_a_screen_and_keeps_words():
    steering = {"a": ["x\x1b[31m\u202ey\x00z\u2066", "line\nline", "\ud83d"]}
    assert cleaned(steering) == {"a": ["x[31myz", "line\nline", ""]}
    assert cleaned("نمی\u200cخواهم") == "نمی\u200cخواهم"


def test_columns_and_lines_break_long_words():
    assert columns([("a", "word " * 3)], (3, 10)) == "a    word word\n     word"
    assert columns([("b", "x" * 12)], (3, 10)) == "b    xxxxxxxxxx\n     xx"
    assert max(map(len, filled("y" * 300, "  ").splitlines())) < 80
