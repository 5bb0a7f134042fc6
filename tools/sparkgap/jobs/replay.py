"""What a job file says to the engines: its data plate and its evidence, and what this knowledge does not know of it.

The browser replays the same log in job.js.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ..knowledge import Knowledge
from ..knowledge.gates import Job as Site
from .file import Job


@dataclass
class Replay:
    """plate and evidence as the engines read them; held: the gates that hold; entries: by check, remedy or part the
    last entry of the log on it; unknown: sentences on what the knowledge does not have."""

    plate: dict[str, Any] = field(default_factory=dict)
    evidence: dict[str, Any] = field(default_factory=dict)
    entries: dict[str, dict[str, Any]] = field(default_factory=dict)
    held: set[str] = field(default_factory=set)
    proved: str = ""
    unknown: list[str] = field(default_factory=list)


def replay(knowledge: Knowledge, job: Job) -> Replay:
    """Go through the log in order; a later answer to a check takes the place of an earlier one."""
    run = _Run(knowledge, job)
    for number, entry in enumerate(job["log"]):
        run.take(number, entry)
    run.told.evidence["open"] = sorted(run.site.open)
    run.told.held = run.site.held
    return run.told


class _Run:
    def __init__(self, knowledge: Knowledge, job: Job) -> None:
        self.knowledge = knowledge
        self.site = Site(knowledge)
        self.told = Replay(evidence={"results": {}, "aside": [], "replaced": [], "failed": [], "open": [],
                                     "who": list(job.get("who") or ["technician"])})
        self._plate(job["unit"]["plate"])
        if job["symptom"] is not None and job["symptom"] not in knowledge.symptoms:
            self._unknown("symptom", f"the symptom {job['symptom']!r}")
        if job["knowledge"] and job["knowledge"] != knowledge.digest:
            self.told.unknown.append("the job was worked with another revision of the knowledge: shares may differ")

    def _unknown(self, where: str, what: str) -> None:
        self.told.unknown.append(f"{where}: this knowledge does not have {what}; it is kept, and not counted")

    def _plate(self, plate: dict[str, Any]) -> None:
        for name, value in plate.items():
            known = self.knowledge.plate.get(name)
            if known is None or (known.kind == "choice") != isinstance(value, str) \
                    or (known.kind == "choice" and value not in known.values):
                self._unknown("unit.plate", f"the plate value {name} = {value!r}")
            else:
                self.told.plate[name] = value

    def take(self, number: int, entry: dict[str, Any]) -> None:
        """Count one entry of the log."""
        where = f"log.{number}"
        handler = {"answer": self._answer, "gate": self._gate, "aside": self._aside, "replaced": self._replaced,
                   "done": self._remedy, "failed": self._remedy}.get(entry["kind"])
        if handler:
            handler(where, entry)

    def _answer(self, where: str, entry: dict[str, Any]) -> None:
        check = self.knowledge.checks.get(entry["id"])
        if check is None:
            return self._unknown(where, f"the check {entry['id']!r}")
        # a reading weighs all three sides, a side that has no answer with 0
        given = {name for name, share in entry["v"].items() if share > 0}
        if given - set(check.answers):
            return self._unknown(where, f"the answer {min(given - set(check.answers))!r} of {entry['id']}")
        evidence = self.told.evidence
        evidence["results"][check.gid] = {"v": dict(entry["v"]), "hearsay": bool(entry.get("hearsay"))}
        evidence["aside"] = [name for name in evidence["aside"] if name != check.gid]
        if not entry.get("hearsay"):
            self.site.do(check)
        self.told.entries[check.gid] = entry
        return None

    def _gate(self, where: str, entry: dict[str, Any]) -> None:
        if entry["id"] not in self.knowledge.gates:
            self._unknown(where, f"the safety gate {entry['id']!r}")
        elif not entry.get("remedy"):
            self.site.held.add(entry["id"])

    def _aside(self, where: str, entry: dict[str, Any]) -> None:
        if entry["id"] in self.knowledge.checks or entry["id"] in self.knowledge.remedies:
            self.told.evidence["aside"].append(entry["id"])
        else:
            self._unknown(where, f"the act {entry['id']!r}")

    def _replaced(self, where: str, entry: dict[str, Any]) -> None:
        if entry["part"] in self.knowledge.parts:
            self.told.evidence["replaced"].append({"part": entry["part"], "when": entry["when"]})
            self.told.entries[entry["part"]] = entry
        else:
            self._unknown(where, f"the part {entry['part']!r}")

    def _remedy(self, where: str, entry: dict[str, Any]) -> None:
        remedy = self.knowledge.remedies.get(entry["id"])
        if remedy is None:
            return self._unknown(where, f"the remedy {entry['id']!r}")
        self.site.do(remedy)
        self.site.do(self.knowledge.checks[remedy.proof])
        if entry["kind"] == "failed":
            self.told.evidence["failed"].append(remedy.gid)
        else:
            self.told.proved = remedy.gid
        self.told.entries[remedy.gid] = entry
        return None
