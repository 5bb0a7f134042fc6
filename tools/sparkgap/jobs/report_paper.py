"""A job's report and its red tag as documents: for paper, and as plain text for a claim form."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..knowledge import Knowledge
from .file import Job
from .findings import moment, unit_title
from .paper import document
from .replay import Replay
from .report import report_data
from .words import columns, filled, listed, section

LONG = 260  # characters of a red tag's text that are printed large


class NotLeftOff(Exception):
    """The job did not end with the unit left shut off, so that no red tag belongs on it."""


def report_html(knowledge: Knowledge, job: Job, told: Replay, paper: str = "letter") -> str:
    """The report as one HTML document that needs no other file."""
    return document("report.html", ("papers.css",), paper, report=report_data(knowledge, job, told))


def report_text(knowledge: Knowledge, job: Job, told: Replay) -> str:
    """The report as plain text: no markup, lines of less than 80 characters."""
    report = report_data(knowledge, job, told)
    parts = [filled("Service report"), *([filled(report["draft"])] if report["draft"] else []),
             columns(report["about"], (14, 62)),
             *(filled(f"Data plate: {'; '.join(f'{name} {value}' for name, value in report['plate'])}")
               for _ in report["plate"][:1])]
    parts += [section(title, filled(report[title.lower()])) for title in ("Complaint", "Cause", "Correction", "Proof")]
    if report["red_tag"]:
        tag = report["red_tag"]
        parts.append(section("Left shut off", filled(f"Why: {tag['why']}"), filled(f"Shut: {tag['shut']}"),
                             filled(f"Before it runs again: {tag['before']}")))
    parts += [
        section("Readings", _readings(report) or "No reading is recorded."),
        section("Found", columns([(when, f"{ask} {says}") for when, ask, says in report["found"]], (20, 56))
                or "No finding is recorded."),
        section("Parts fitted", listed(report["fitted"]) or "No part fitted is recorded."),
        section("Parts removed", listed(f"{text} ({title})" for title, text in report["removed"])
                or "No part removed is recorded."),
        *(section("Fitted before this visit", listed(report["before"])) for _ in report["before"][:1]),
        section("Minutes", columns(report["minutes"], (20, 14)) or "No time is recorded."),
        section("Safety gates passed", columns(report["gates"], (36, 16, 20)) or "No gate is recorded."),
        *(filled(f"Note of {when}: {text}") for when, text in report["notes"]),
        section("Photos", listed(f"{one['name']}: {one['says']}" for one in report["photos"])
                or "No photo is in the job file."),
        filled(_knowledge(report)), filled(report["demo"])]
    return "\n\n".join(part for part in parts if part)


def red_tag_html(knowledge: Knowledge, job: Job, paper: str = "letter") -> str:
    """The notice to hang on a unit that was left shut off. Raises NotLeftOff."""
    return document("red_tag.html", ("papers.css",), paper, tag=_red_tag(knowledge, job))


def red_tag_text(knowledge: Knowledge, job: Job) -> str:
    """The notice as plain text. Raises NotLeftOff."""
    tag = _red_tag(knowledge, job)
    return "\n\n".join([
        "DO NOT USE", filled("Do not switch it on, light it, or open its gas or water."),
        *(section(title, filled(tag[key]) or "_" * 60) for title, key in (
            ("Why", "why"), ("What was shut, and where", "shut"), ("What must hold before it runs again", "before"))),
        columns([("Unit:", tag["unit"] or "_" * 40), ("Left off:", tag["date"]),
                 ("By:", tag["technician"] or "_" * 40), ("Job no.:", tag["number"] or "_" * 40)], (10, 60))])


def _red_tag(knowledge: Knowledge, job: Job) -> dict[str, Any]:
    outcome = job.get("outcome") or {}
    if outcome.get("end") != "left-off":
        raise NotLeftOff("the job did not end with the unit left shut off")
    tag = outcome.get("red_tag") or {"why": "", "shut": "", "before": ""}
    return {**tag, "unit": unit_title(knowledge, job), "date": moment(job["closed"] or job["changed"]),
            "technician": job.get("technician", ""), "number": job.get("number", ""),
            "long": max(len(text) for text in tag.values()) > LONG}


def _readings(report: Mapping[str, Any]) -> str:
    """A table as wide as a claim form, with limit and source below each reading."""
    rows = [("Reading", "Before", "After")] if report["readings"] else []
    blocks = [columns(rows, (32, 21, 21))] if rows else []
    for one in report["readings"]:
        block = [columns([(one["title"], one["before"] or "-", one["after"] or "-")], (32, 21, 21)),
                 filled(f"limit: {one['limits']}" + (f" ({one['source']})" if one["source"] else ""), "    ", "  ")]
        if one["between"]:
            block.append(filled(f"between two remedies: {one['between']}", "    ", "  "))
        if one["tool"]:
            block.append(filled(f"with: {one['tool']}", "    ", "  "))
        blocks.append("\n".join(block))
    return "\n".join(blocks)


def _knowledge(report: Mapping[str, Any]) -> str:
    worked = report["digest"] or "none recorded"
    same = report["digest"] == report["present"]
    return f"Knowledge worked with: {worked}." + ("" if same else f" Printed with: {report['present']}.")
