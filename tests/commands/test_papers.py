"""sparkgap card --job, owner-sheet and report."""

from __future__ import annotations

import json

import pytest
from sparkgap.jobs.file import write_job

from tests.jobs.papers import HOSTILE, full_job, hostile_job, left_off
from tests.loaded import ROOT, shipped


@pytest.fixture
def told(tmp_path):
    """Write a job to a file: told(job) -> its path as text."""
    def write(job: dict) -> str:
        file = tmp_path / "demo.job.json"
        file.write_bytes(write_job(job))
        return str(file)

    return write


@pytest.fixture
def here(run, monkeypatch):
    """Run a command on the shipped knowledge, read once."""
    monkeypatch.setattr("sparkgap.commands.common.load", lambda root: shipped())
    return lambda *arguments: run("--root", str(ROOT), *arguments)


def test_a_card_is_filled_in_from_a_job_file(here, told):
    ran = here("card", "flame-sense", "--job", told(full_job()))
    assert ran.code == 0 and "D-1042" in ran.out and "3.1 uA" in ran.out and "Judged: within" in ran.out
    assert "another revision" not in ran.err


def test_what_a_job_file_tells_and_this_knowledge_does_not_have_goes_to_the_error_output(here, told):
    full = full_job(knowledge="another", symptom="none")
    full["log"].append({"kind": "gate", "at": full["closed"], "id": "none"})
    ran = here("report", told(full))
    assert ran.code == 0 and ran.out.startswith("Service report\n")
    assert [line.split(": ", 2)[2] for line in ran.err.splitlines()] == [
        "symptom: this knowledge does not have the symptom 'none'; it is kept, and not counted",
        "the job was worked with another revision of the knowledge: shares may differ",
        "log.12: this knowledge does not have the safety gate 'none'; it is kept, and not counted"]


def test_a_file_that_is_no_job_is_refused_in_words(here, tmp_path):
    file = tmp_path / "x.job.json"
    for data, says in ((b"{", "Expecting property name"), (json.dumps({"format": "other"}).encode(), "not a job file"),
                       (b"\xff", "not UTF-8 at byte 0")):
        file.write_bytes(data)
        for command in (["report", str(file)], ["card", "flame-sense", "--job", str(file)]):
            ran = here(*command)
            assert (ran.code, ran.out) == (2, "") and says in ran.err and ran.err.startswith(f"sparkgap: {file}")


def test_papers_are_written_by_the_ending_of_their_file(here, told, tmp_path):
    file = told(left_off())
    for command, first in ((["report", file], "Service report"), (["report", file, "--red-tag"], "DO NOT USE"),
                           (["owner-sheet", "water-smells"], "Hot water smells")):
        text, page = tmp_path / "x.txt", tmp_path / "x.html"
        assert here(*command, "--out", str(text)).out == f"wrote {text}\n"
        assert text.read_text("utf-8") == here(*command).out and text.read_text("utf-8").startswith(first)
        assert here(*command, "--out", str(page)).code == 0
        assert page.read_text("utf-8").startswith("<!doctype html>\n")
        ran = here(*command, "--out", str(tmp_path / "x.doc"))
        assert ran.code == 2 and "this paper is written as .pdf, .html or .txt" in ran.err


def test_a_red_tag_for_a_unit_that_runs_is_refused(here, told):
    ran = here("report", told(full_job()), "--red-tag")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == ("sparkgap: the job did not end with the unit left shut off\n"
                       "sparkgap: a red tag belongs to a job whose outcome is left-off\n")


def test_hostile_words_do_not_reach_the_screen_as_orders(here, told):
    ran = here("report", told(hostile_job()))
    assert ran.code == 0 and "\x1b" not in ran.out + ran.err and "\u202e" not in ran.out
    assert HOSTILE[:27] in ran.out


def test_an_owner_sheet_is_refused_where_it_makes_no_sense(here):
    for arguments, says in ((["none"], "there is no symptom 'none'"),
                            (["water-smells", "--unit", "x"], "there is no unit 'x'"),
                            (["burner-quits-early", "--unit", "demo-instant"], "does not happen on this unit"),
                            (["water-smells", "--text", "--out", "x.txt"], "--text prints, --out writes")):
        ran = here("owner-sheet", *arguments)
        assert (ran.code, ran.out) == (2, "") and says in ran.err
