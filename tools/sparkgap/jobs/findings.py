"""What a card prints of a job: from a job file, or from what a command was told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ..diagnosis.calculators import plate_calculators
from ..diagnosis.compile import compile_symptom
from ..diagnosis.guide import guide
from ..knowledge import Knowledge
from .file import Job
from .replay import Replay

CAUSES = 4  # so many causes are printed on a card


@dataclass
class Findings:
    """What is known of a job when its card is printed; everything may be empty.

    results: check -> answer ids and shares as in the evidence; judged: check -> (verdict, share within);
    readings: check -> tolerance -> the reading as typed; passed: gate -> when and by whom;
    belief: causes and shares, likeliest first.
    """

    number: str = ""
    technician: str = ""
    date: str = ""
    customer: str = ""
    vehicle: str = ""
    symptom: str = ""
    complaint: str = ""
    unit: str = ""
    plate: Mapping[str, Any] = field(default_factory=dict)
    results: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    judged: Mapping[str, tuple[str, float | None]] = field(default_factory=dict)
    readings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    passed: Mapping[str, str] = field(default_factory=dict)
    belief: list[tuple[str, float]] = field(default_factory=list)
    replaced: list[str] = field(default_factory=list)


def job_findings(knowledge: Knowledge, job: Job, told: Replay) -> Findings:
    """The findings of a job file; ``told`` is what the file says to the engines."""
    owner, evidence = job.get("owner", {}), told.evidence
    answered = {gid: entry for gid, entry in told.entries.items() if entry["kind"] == "answer"}
    return Findings(
        number=job.get("number", ""), technician=job.get("technician", ""), date=job["opened"][:10],
        customer=owner.get("name", ""), vehicle=owner.get("vehicle", ""),
        complaint=job["complaint"], unit=unit_title(knowledge, job), plate=told.plate, results=evidence["results"],
        judged={gid: (verdict_words(entry["verdict"]), entry.get("within"))
                for gid, entry in answered.items() if entry.get("verdict")},
        readings={gid: {one["name"]: one["text"] for one in entry.get("readings", [])}
                  for gid, entry in answered.items()},
        passed={entry["id"]: f"{entry.get('by', '')} {moment(entry['at'])}".strip()
                for entry in job["log"] if entry["kind"] == "gate" and entry["id"] in told.held},
        replaced=[one["part"] for one in evidence["replaced"]],
        **causes(knowledge, job["symptom"], told.plate, evidence))


def causes(knowledge: Knowledge, symptom: str | None, plate: Mapping[str, Any], evidence: Mapping[str, Any]) -> dict:
    """The symptom's title and its likeliest causes as keys of the findings; empty for no known symptom."""
    if symptom not in knowledge.symptoms:
        return {"symptom": "", "belief": []}
    model = compile_symptom(knowledge, symptom)
    belief = guide(model, plate, evidence, plate_calculators(knowledge))["belief"]
    return {"symptom": model["title"],
            "belief": sorted(belief.items(), key=lambda item: (-item[1], item[0]))[:CAUSES]}


def unit_title(knowledge: Knowledge, job: Job) -> str:
    """What to call the unit: as the job does, else as the listed unit is called, with its serial number."""
    unit = job["unit"]
    listed = knowledge.units.get(unit["id"])
    title = unit["title"] or (listed.title if listed else "")
    return f"{title}, serial {unit['serial']}".removeprefix(", ") if unit.get("serial") else title


def verdict_words(verdict: str) -> str:
    """A verdict as it is printed."""
    return verdict.replace("too-close", "too close to call")


def moment(at: str) -> str:
    """A moment of the job file for paper, to the minute; the file's times are UTC, and the paper says so."""
    return f"{at[:10]} {at[11:16]} UTC"
