"""The job card: one procedure printed for one job, blank or with what the guide has found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..diagnosis.reasons import percent
from ..knowledge import Knowledge
from ..knowledge.acts import Act, Check, Procedure, Remedy, Tolerance
from ..knowledge.gates import Job
from ..knowledge.needs import needed_gates, surrounds
from .code import code_of
from .findings import Findings
from .limits import fitting_items, limits_text, people, plate_lines
from .paper import document

COMPLAINT = 400  # characters of the owner's words that fit; the job file has all
FOUND = 12  # findings of other procedures that fit; the job file has all


def render_card(knowledge: Knowledge, procedure_id: str, findings: Findings | None = None, site: str = "",
                paper: str = "letter") -> str:
    """The card as one HTML document that needs no other file.

    Raises KeyError for an unknown procedure and AddressRefused for a site that is no address.
    """
    card = card_data(knowledge, knowledge.procedures[procedure_id], findings or Findings(), site)
    return document("card.html", ("card.css",), paper, card=card)


def card_data(knowledge: Knowledge, procedure: Procedure, findings: Findings, site: str = "") -> dict[str, Any]:
    """Everything that the card shows, as plain data: the template only lays it out."""
    checks = placed(procedure, "check", procedure.checks, knowledge.checks)
    remedies = placed(procedure, "remedy", procedure.remedies, knowledge.remedies)
    again = gates_again(knowledge, procedure)
    numbers = {check.gid: number for number, check in enumerate(checks, 1)}
    proofs = _proofs(knowledge, remedies, numbers, findings)
    marks = _Marks(knowledge)
    card = {
        "title": procedure.title, "id": procedure.id, "revision": procedure.revision, "reviewed": procedure.reviewed,
        "digest": knowledge.digest, "demo": knowledge.demo, "code": code_of(procedure, site),
        "number": findings.number, "technician": findings.technician, "date": findings.date,
        "customer": findings.customer, "vehicle": findings.vehicle,
        "unit": findings.unit, "complaint": cut(findings.complaint, COMPLAINT), "symptom": findings.symptom,
        "plate": plate_lines(knowledge, findings.plate),
        "gates": [(knowledge.gates[name], findings.passed.get(name, "")) for name in procedure.safety_gates],
        "tools": [knowledge.tools[name].title for name in _tools(procedure, [*checks, *remedies])],
        "belief": [(cause_title(knowledge, name), percent(share)) for name, share in findings.belief],
        "replaced": [knowledge.parts[name].title for name in findings.replaced],
        "tolerances": [_reading(knowledge, one, findings, marks) for one in procedure.tolerances.values()
                       if not any(one.id in (*check.measure, check.limit) for check in procedure.checks.values())],
        "checks": [{**_check(knowledge, check, findings, marks), "again": again[check.gid]} for check in checks],
        "remedies": [{**_remedy(knowledge, remedy, findings), "again": again[remedy.gid],
                      "proof": proofs[remedy.proof]} for remedy in remedies],
        "proofs": list(proofs.values()),
        **_found(knowledge, findings, numbers),
    }
    for proof in card["proofs"]:
        check = knowledge.checks[proof["gid"]]
        proof["readings"] = [] if proof["own"] else _readings(knowledge, check, findings, marks)
    _say_once(card)
    card["sources"] = marks.sources()
    card["size"] = _size(card)
    return card


def _say_once(card: Mapping[str, Any]) -> None:
    """What must be closed, and what a tolerance notes, is said where it comes first; later acts point there."""
    named: dict[tuple[str, ...], str] = {}
    noted: set[str] = set()
    names = [*(f"check {number}" for number in range(1, len(card["checks"]) + 1)),
             *(f"the remedy “{remedy['title']}”" for remedy in card["remedies"]),
             *(f"proof {proof['letter']}" for proof in card["proofs"])]
    for act, name in zip((*card["checks"], *card["remedies"], *card["proofs"]), names, strict=True):
        shut = tuple(act["shut"])
        act["shut_as"] = named.get(shut, "") if len(shut) > 1 else ""
        named.setdefault(shut, name)
        for reading in act.get("readings", []):
            reading["note"] = "" if reading["note"] in noted else reading["note"]
            noted.add(reading["note"])


class _Marks:
    """The sources of the limits on a card, each with a letter: its name is printed once."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge, self.names = knowledge, []

    def mark(self, source: str) -> str:
        if source not in self.knowledge.sources:
            return ""
        if source not in self.names:
            self.names.append(source)
        return chr(ord("a") + self.names.index(source))

    def sources(self) -> list[tuple[str, str]]:
        return [(self.mark(name), self.knowledge.sources[name].title) for name in self.names]


def placed(procedure: Procedure, kind: str, own: Mapping[str, Any], every: Mapping[str, Any]) -> list[Any]:
    """The acts of a kind in the order of the text; another procedure's act may be placed by its global id."""
    return [own.get(p.target) or every[p.target] for p in procedure.placements if p.kind == kind]


def cut(text: str, length: int) -> str:
    """A text of at most so many characters, and what was left out said."""
    return text if len(text) <= length else text[:length].rstrip() + " … (the job file has all)"


def _tools(procedure: Procedure, acts: list[Act]) -> list[str]:
    return list(dict.fromkeys([*procedure.tools, *(name for act in acts for name in act.tools)]))


def gates_again(knowledge: Knowledge, procedure: Procedure) -> dict[str, list[str]]:
    """Act -> titles of the gates that what stands before it on the card has voided, so that they are asked again.

    The card lists the gates first, then the checks, then the remedies, each remedy with its proof.
    """
    job = Job(knowledge)
    job.held.update(procedure.safety_gates)
    result: dict[str, list[str]] = {}
    for act in (*placed(procedure, "check", procedure.checks, knowledge.checks),
                *placed(procedure, "remedy", procedure.remedies, knowledge.remedies)):
        lacking = job.lacking(act)
        result[act.gid] = [knowledge.gates[name].title for name in lacking]
        job.held.update(lacking)
        job.do(act)
        if isinstance(act, Remedy):
            job.do(knowledge.checks[act.proof])
    return result


def cause_title(knowledge: Knowledge, name: str) -> str:
    """A cause in words."""
    if name in knowledge.faults:
        return knowledge.faults[name].title
    return {"normal": "Normal, no part needed", "other": "Something that is not in the knowledge"}[name]


def _found(knowledge: Knowledge, findings: Findings, numbers: Mapping[str, int]) -> dict[str, Any]:
    """What other procedures' checks found; those of this card are ticked in their place."""
    others = [gid for gid in findings.results if gid not in numbers]
    return {"found": [(knowledge.checks[gid].ask, answer_text(knowledge, gid, findings)) for gid in others[-FOUND:]],
            "left_out": max(0, len(others) - FOUND), "here": len(findings.results) - len(others)}


def answer_text(knowledge: Knowledge, gid: str, findings: Findings) -> str:
    """What a check was answered, with its readings, and whether it was only told."""
    result = findings.results[gid]
    words = knowledge.checks[gid].answers[likeliest(result)].says
    judged = findings.judged.get(gid)
    if judged and judged[0] == "too close to call":
        words = "Too close to call"
    readings = ", ".join(findings.readings.get(gid, {}).values())
    return (f"{readings}: {words}" if readings else words) + (" (told, not seen)" if result.get("hearsay") else "")


def likeliest(result: Mapping[str, Any]) -> str:
    """The answer with the largest weight."""
    return max(sorted(result["v"]), key=lambda name: result["v"][name])


def _check(knowledge: Knowledge, check: Check, findings: Findings, marks: _Marks) -> dict[str, Any]:
    result = findings.results.get(check.gid)
    chosen = likeliest(result) if result else ""
    return {
        "gid": check.gid, "ask": check.ask, "how": check.how, "never": check.never, "good": check.good,
        "who": people(check.who), "shut": _shut(knowledge, check), "told": bool(result and result.get("hearsay")),
        "answers": [{"id": answer.id, "says": answer.says, "then": answer.then, "chosen": answer.id == chosen}
                    for answer in check.answers.values()],
        "readings": _readings(knowledge, check, findings, marks),
        "verdict": findings.judged.get(check.gid),
    }


def _shut(knowledge: Knowledge, act: Act) -> list[str]:
    """Titles of what an act needs closed; what lies inside another of them is closed with that."""
    return [knowledge.access[name].title for name in act.closes
            if not surrounds([other for other in act.closes if other != name], name, knowledge)]


def _readings(knowledge: Knowledge, check: Check, findings: Findings, marks: _Marks) -> list[dict[str, str]]:
    tolerances = knowledge.procedures[check.procedure].tolerances
    typed = findings.readings.get(check.gid, {})
    rows = [_reading(knowledge, tolerances[name], findings, marks, typed) for name in check.measure]
    if check.judge:
        rows.append({**_reading(knowledge, tolerances[check.limit], findings, marks, typed), "computed": "yes"})
    return rows


def _reading(knowledge: Knowledge, tolerance: Tolerance, findings: Findings, marks: _Marks,
             typed: Mapping[str, str] | None = None) -> dict[str, str]:
    tool = knowledge.tools.get(tolerance.tool)
    return {"title": tolerance.title, "limits": limits_text(knowledge, tolerance, findings.plate),
            "tool": tool.title if tool else "", "mark": marks.mark(tolerance.source) if tolerance.judged else "",
            "note": tolerance.note, "computed": "", "typed": (typed or {}).get(tolerance.id, "")}


def _remedy(knowledge: Knowledge, remedy: Remedy, findings: Findings) -> dict[str, Any]:
    part = knowledge.parts.get(remedy.part)
    return {
        "title": remedy.title, "ends": [knowledge.faults[name].title for name in remedy.ends],
        "part": part.title if part else "", "count": remedy.part_count,
        "fits": fitting_items(knowledge, part.id, findings.plate) if part else [], "after": remedy.after,
        "never": remedy.never, "how": remedy.how, "steps": list(remedy.steps),
        "who": people(remedy.who), "shut": _shut(knowledge, remedy),
    }


def _proofs(knowledge: Knowledge, remedies: list[Remedy], numbers: Mapping[str, int],
            findings: Findings) -> dict[str, dict[str, Any]]:
    """Each proof that the remedies of a card end in, once; one that stands on the card as a check is named by it."""
    result: dict[str, dict[str, Any]] = {}
    for gid in dict.fromkeys(remedy.proof for remedy in remedies):
        check = knowledge.checks[gid]
        letter = chr(ord("A") + len(result))
        result[gid] = {
            "gid": gid, "letter": letter, "own": numbers.get(gid, 0), "ask": check.ask,
            "good": check.good, "never": check.never, "who": people(check.who), "shut": _shut(knowledge, check),
            "gates": [knowledge.gates[name].title for name in needed_gates(check, knowledge)],
        }
    return result


def _size(card: Mapping[str, Any]) -> str:
    """How large the type may be so that the card keeps to two pages, from how much it has to say."""
    length = text_length({key: value for key, value in card.items() if key != "code"})
    length += 2 * text_length([card["complaint"], card["plate"], card["found"], card["belief"]])  # short lines
    return next(size for size, limit in SIZES if length <= limit)


def text_length(value: Any) -> int:
    """Characters of all the texts in plain data."""
    if isinstance(value, str):
        return len(value)
    if isinstance(value, Mapping):
        return sum(text_length(one) for one in value.values())
    if isinstance(value, (list, tuple)):
        return sum(text_length(one) for one in value)
    return text_length(f"{value.says}{value.otherwise}{value.title}") if hasattr(value, "otherwise") else 0


# Type sizes with the most characters that keep to two pages of either paper.
SIZES = (("large", 5000), ("middle", 7700), ("small", 10**9))
