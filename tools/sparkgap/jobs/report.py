"""The report of a job file: complaint, cause, correction, with readings, parts, minutes, gates and proof.

Everything is said as the job file has it; what is not recorded is said to be not recorded. The same data is laid out
for paper and as plain text for a claim form.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ..knowledge import Knowledge
from .card import cause_title
from .file import Job
from .findings import moment, unit_title, verdict_words
from .limits import limits_text, plate_lines
from .replay import Replay

PHASES = {"travel": "Travel", "find": "Finding the fault", "repair": "Repair", "prove": "Proof"}
ENDS = {"repaired": "Repaired", "normal": "Nothing was wrong, no part needed", "left-off": "Left shut off",
        "referred": "Handed to somebody else"}
WHEN = {"for-this": "fitted before this visit, for this complaint", "before": "fitted shortly before it began",
        "unknown": "fitted before, nobody knows when"}
NOT_RECORDED = "not recorded"


def report_data(knowledge: Knowledge, job: Job, told: Replay) -> dict[str, Any]:
    """Everything that the report says, as plain data; ``told`` is what the job file says to the engines."""
    log, outcome = job["log"], job.get("outcome")
    work = [entry for entry in log if entry["kind"] in ("done", "failed")]
    return {
        "draft": _draft(job), "about": _about(knowledge, job),
        "plate": plate_lines(knowledge, told.plate), "complaint": job["complaint"] or NOT_RECORDED,
        "cause": _cause(knowledge, outcome), "correction": _correction(knowledge, outcome, work),
        "proof": _proof(knowledge, work), "red_tag": (outcome or {}).get("red_tag"),
        "readings": _readings(knowledge, log, told.plate), "found": _found(knowledge, log),
        "removed": [(_remedy_title(knowledge, one["id"]), one["removed"]) for one in work if one.get("removed")],
        "fitted": [_fitted(knowledge, part) for entry in work for part in entry.get("fitted", [])],
        "before": [f"{_part_title(knowledge, entry['part'])}: {WHEN[entry['when']]}" for entry in log
                   if entry["kind"] == "replaced"],
        "minutes": _minutes(job.get("minutes", {})),
        "gates": [_gate(knowledge, entry) for entry in log if entry["kind"] == "gate"],
        "notes": [(moment(entry["at"]), entry["text"]) for entry in log if entry["kind"] == "note"],
        "photos": job.get("photos", []), "digest": job["knowledge"], "present": knowledge.digest,
        "unknown": told.unknown, "demo": knowledge.demo,
    }


def _draft(job: Job) -> str:
    """Why this is no final report; empty for one of a closed job with an outcome."""
    open_, ended = job["closed"] is None, job.get("outcome") is not None
    if open_ and not ended:
        return "Draft: the job is open and has no outcome."
    if open_:
        return "Draft: an outcome is recorded, the job is not closed."
    return "" if ended else "Draft: the job is closed without an outcome."


def _about(knowledge: Knowledge, job: Job) -> list[tuple[str, str]]:
    owner, symptom = job.get("owner", {}), knowledge.symptoms.get(job["symptom"])
    about = {
        "Job no.": job.get("number", ""), "Technician": job.get("technician", ""),
        "Opened": moment(job["opened"]), "Closed": moment(job["closed"]) if job["closed"] else "open",
        "Customer": owner.get("name", ""), "Vehicle": owner.get("vehicle", ""),
        "Unit": unit_title(knowledge, job), "Symptom": symptom.title if symptom else job["symptom"] or "",
    }
    return [(label, text or NOT_RECORDED) for label, text in about.items()]


def _cause(knowledge: Knowledge, outcome: Mapping[str, Any] | None) -> str:
    if not outcome:
        return "No cause is recorded."
    fault = outcome["fault"]
    named = _sentence(cause_title(knowledge, fault) if fault in {*knowledge.faults, "normal", "other"} else fault or "")
    return " ".join(filter(None, [named, outcome.get("cause", "")])) or "No cause is recorded."


def _correction(knowledge: Knowledge, outcome: Mapping[str, Any] | None, work: Sequence[Mapping[str, Any]]) -> str:
    said = [f"{_remedy_title(knowledge, entry['id'])}: "
            + ("carried out and proved." if entry["kind"] == "done" else "carried out, its proof failed.")
            for entry in work]
    if outcome:
        said = [_sentence(ENDS[outcome["end"]]), *said, outcome.get("says", "")]
    return " ".join(filter(None, said)) or "No correction is recorded."


def _proof(knowledge: Knowledge, work: Sequence[Mapping[str, Any]]) -> str:
    """How the proof of the last remedy ended, or that there is none."""
    if not work:
        return "No proof is recorded."
    last = work[-1]
    ended = "Recorded as passed" if last["kind"] == "done" else "Recorded as failed"
    by = f" by {last['by']}" if last.get("by") else ""
    remedy = knowledge.remedies.get(last["id"])
    if remedy is None:
        return f"{ended}{by}, {moment(last['at'])}, for a remedy that this knowledge does not have."
    check = knowledge.checks[remedy.proof]
    good = f" Good is: {check.good}" if check.good else ""
    return f"{check.ask} {ended}{by}, {moment(last['at'])}.{good}"


def _readings(knowledge: Knowledge, log: Sequence[Mapping[str, Any]], plate: Mapping[str, Any]) -> list[dict[str, str]]:
    """Each reading before the first remedy and after the last one, with its limits and their source."""
    acts = [number for number, entry in enumerate(log) if entry["kind"] in ("done", "failed")]
    first, last = (acts[0], acts[-1]) if acts else (len(log), len(log))
    rows: dict[tuple[str, str], dict[str, str]] = {}
    for number, entry in enumerate(log):
        when = "before" if number < first else "after" if number > last else "between"
        for reading in entry.get("readings", []):
            key = (entry["id"], reading["name"])
            row = rows.setdefault(key, _limits(knowledge, *key, plate))
            row[when] = reading["text"] + (f", {verdict_words(entry['verdict'])}" if entry.get("verdict") else "")
            row["tool"] = _tool(knowledge, reading.get("tool")) or row["tool"]
    return list(rows.values())


def _limits(knowledge: Knowledge, gid: str, name: str, plate: Mapping[str, Any]) -> dict[str, str]:
    tolerance = knowledge.tolerance(gid.split("/")[0], name)
    row = {"title": f"{gid}: {name}", "before": "", "between": "", "after": "", "limits": "not in this knowledge",
           "source": "", "tool": ""}
    if tolerance:
        source = knowledge.sources.get(tolerance.source)
        row |= {"title": tolerance.title, "limits": "none"}
        if tolerance.judged:
            row |= {"limits": limits_text(knowledge, tolerance, plate), "source": source.title if source else ""}
    return row


def _found(knowledge: Knowledge, log: Sequence[Mapping[str, Any]]) -> list[tuple[str, str, str]]:
    """(when, what was asked, what was found) of every answer and of what was set aside, in order."""
    rows = []
    for entry in log:
        if entry["kind"] not in ("answer", "aside"):
            continue
        check = knowledge.checks.get(entry["id"])
        asked = check.ask if check else _remedy_title(knowledge, entry["id"])
        rows.append((moment(entry["at"]), asked, _answered(check, entry) if entry["kind"] == "answer"
                     else "Set aside: could not be done"))
    return rows


def _answered(check: Any, entry: Mapping[str, Any]) -> str:
    name = entry["answer"]
    words = check.answers[name].says if check and name in check.answers else name or "Too close to call"
    readings = ", ".join(reading["text"] for reading in entry.get("readings", []))
    return (f"{readings}: {words}" if readings else words) + (" (told, not seen)" if entry.get("hearsay") else "")


def _fitted(knowledge: Knowledge, part: Mapping[str, Any]) -> str:
    role = _part_title(knowledge, part["part"]) if part["part"] else ""
    item = part["item"] + (f" ({role})" if role and role != part["item"] else "")
    return f"{part['count']} × {item}"


def _minutes(minutes: Mapping[str, float]) -> list[tuple[str, str]]:
    """(phase, minutes) and the sum of those that are recorded; empty when none is."""
    if not minutes:
        return []
    rows = [(title, f"{minutes[name]:.0f}" if name in minutes else NOT_RECORDED) for name, title in PHASES.items()]
    return [*rows, ("Sum", f"{sum(minutes.values()):.0f}")]


def _gate(knowledge: Knowledge, entry: Mapping[str, Any]) -> tuple[str, str, str]:
    gate = knowledge.gates.get(entry["id"])
    title = gate.title if gate else entry["id"]
    if entry.get("remedy"):
        title += f" (for the proof of: {_remedy_title(knowledge, entry['remedy'])})"
    return title, entry.get("by") or NOT_RECORDED, moment(entry["at"])


def _remedy_title(knowledge: Knowledge, gid: str) -> str:
    remedy = knowledge.remedies.get(gid)
    return remedy.title if remedy else f"{gid} (not in this knowledge)"


def _part_title(knowledge: Knowledge, part: str) -> str:
    return knowledge.parts[part].title if part in knowledge.parts else f"{part} (not in this knowledge)"


def _tool(knowledge: Knowledge, tool: str | None) -> str:
    return knowledge.tools[tool].title if tool in knowledge.tools else ""


def _sentence(text: str) -> str:
    return text if not text or text[-1] in ".!?" else text + "."
