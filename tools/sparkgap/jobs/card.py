"""The job card: one procedure printed for one job, blank or with what the guide has found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from ..knowledge import Knowledge
from ..knowledge.acts import Act, Band, Check, Procedure, Remedy, Tolerance
from ..knowledge.conditions import holds
from ..knowledge.entities import Term
from ..knowledge.gates import Job
from ..knowledge.needs import needed_gates, surrounds
from ..quantities import both, parse_quantity

FACE = Path(__file__).resolve().parents[3] / "conf"


@dataclass
class Findings:
    """What is known of a job when its card is printed; everything may be empty.

    results: check -> answer ids and shares as in the evidence; judged: check -> (verdict, share within);
    belief: causes and shares, likeliest first.
    """

    symptom: str = ""
    complaint: str = ""
    unit: str = ""
    plate: Mapping[str, Any] = field(default_factory=dict)
    results: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    judged: Mapping[str, tuple[str, float]] = field(default_factory=dict)
    belief: list[tuple[str, float]] = field(default_factory=list)
    replaced: list[str] = field(default_factory=list)


def render_card(knowledge: Knowledge, procedure_id: str, findings: Findings | None = None) -> str:
    """The card as one HTML document that needs no other file. Raises KeyError for an unknown procedure."""
    environment = Environment(loader=FileSystemLoader(FACE / "templates"), autoescape=True,
                              undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    style = (FACE / "static" / "css" / "card.css").read_text(encoding="utf-8")
    return environment.get_template("card.html").render(
        card=card_data(knowledge, knowledge.procedures[procedure_id], findings or Findings()), style=style)


def card_data(knowledge: Knowledge, procedure: Procedure, findings: Findings) -> dict[str, Any]:
    """Everything that the card shows, as plain data: the template only lays it out."""
    checks = _placed(procedure, "check", procedure.checks, knowledge.checks)
    remedies = _placed(procedure, "remedy", procedure.remedies, knowledge.remedies)
    again = gates_again(knowledge, procedure)
    return {
        "title": procedure.title, "id": procedure.id, "revision": procedure.revision, "reviewed": procedure.reviewed,
        "digest": knowledge.digest, "demo": knowledge.demo,
        "unit": findings.unit, "complaint": findings.complaint, "symptom": findings.symptom,
        "plate": [(knowledge.plate[name].title, _plate_text(knowledge, name, value))
                  for name, value in findings.plate.items()],
        "gates": [knowledge.gates[name] for name in procedure.safety_gates],
        "tools": [knowledge.tools[name].title for name in _tools(procedure, [*checks, *remedies])],
        "belief": [(_cause(knowledge, name), f"{100 * share:.0f} %") for name, share in findings.belief],
        "replaced": [knowledge.parts[name].title for name in findings.replaced],
        "found": [_found(knowledge, gid, result) for gid, result in sorted(findings.results.items())],
        "tolerances": [_reading(knowledge, one, findings) for one in procedure.tolerances.values()
                       if not any(one.id in (*check.measure, check.limit) for check in procedure.checks.values())],
        "checks": [{**_check(knowledge, check, findings), "again": again[check.gid]} for check in checks],
        "remedies": [{**_remedy(knowledge, remedy, findings), "again": again[remedy.gid]} for remedy in remedies],
    }


def _placed(procedure: Procedure, kind: str, own: Mapping[str, Any], every: Mapping[str, Any]) -> list[Any]:
    """The acts of a kind in the order of the text; another procedure's act may be placed by its global id."""
    return [own.get(p.target) or every[p.target] for p in procedure.placements if p.kind == kind]


def _tools(procedure: Procedure, acts: list[Act]) -> list[str]:
    return list(dict.fromkeys([*procedure.tools, *(name for act in acts for name in act.tools)]))


def gates_again(knowledge: Knowledge, procedure: Procedure) -> dict[str, list[str]]:
    """Act -> titles of the gates that what stands before it on the card has voided, so that they are asked again.

    The card lists the gates first, then the checks, then the remedies, each remedy with its proof.
    """
    job = Job(knowledge)
    job.held.update(procedure.safety_gates)
    result: dict[str, list[str]] = {}
    for act in (*_placed(procedure, "check", procedure.checks, knowledge.checks),
                *_placed(procedure, "remedy", procedure.remedies, knowledge.remedies)):
        lacking = job.lacking(act)
        result[act.gid] = [knowledge.gates[name].title for name in lacking]
        job.held.update(lacking)
        job.do(act)
        if isinstance(act, Remedy):
            job.do(knowledge.checks[act.proof])
    return result


def _plate_text(knowledge: Knowledge, name: str, value: Any) -> str:
    known = knowledge.plate[name]
    return known.values[value] if known.kind == "choice" else both(value, known.quantity, unit=known.unit or None)


def _cause(knowledge: Knowledge, name: str) -> str:
    if name in knowledge.faults:
        return knowledge.faults[name].title
    return {"normal": "Normal, no part needed", "other": "Something that is not in the knowledge"}[name]


def _found(knowledge: Knowledge, gid: str, result: Mapping[str, Any]) -> tuple[str, str]:
    check = knowledge.checks[gid]
    answer = max(sorted(result["v"]), key=lambda name: result["v"][name])
    told = " (told, not seen)" if result.get("hearsay") else ""
    return check.ask, check.answers[answer].says + told


def _check(knowledge: Knowledge, check: Check, findings: Findings) -> dict[str, Any]:
    result = findings.results.get(check.gid)
    chosen = max(sorted(result["v"]), key=lambda name: result["v"][name]) if result else ""
    return {
        "ask": check.ask, "how": check.how, "never": check.never, "good": check.good,
        "gates": [knowledge.gates[name].title for name in needed_gates(check, knowledge)],
        "who": [name for name in check.who if name != "owner"], "shut": _shut(knowledge, check),
        "answers": [{"says": answer.says, "then": answer.then, "chosen": answer.id == chosen}
                    for answer in check.answers.values()],
        "readings": _readings(knowledge, check, findings),
        "verdict": findings.judged.get(check.gid),
    }


def _shut(knowledge: Knowledge, act: Act) -> list[str]:
    """Titles of what an act needs closed; what lies inside another of them is closed with that."""
    return [knowledge.access[name].title for name in act.closes
            if not surrounds([other for other in act.closes if other != name], name, knowledge)]


def _readings(knowledge: Knowledge, check: Check, findings: Findings) -> list[dict[str, str]]:
    tolerances = knowledge.procedures[check.procedure].tolerances
    rows = [_reading(knowledge, tolerances[name], findings) for name in check.measure]
    if check.judge:
        rows.append({**_reading(knowledge, tolerances[check.limit], findings), "computed": "yes"})
    return rows


def _reading(knowledge: Knowledge, tolerance: Tolerance, findings: Findings) -> dict[str, str]:
    tool = knowledge.tools.get(tolerance.tool)
    source = knowledge.sources.get(tolerance.source)
    return {"title": tolerance.title, "limits": limits_text(knowledge, tolerance, findings.plate),
            "tool": tool.title if tool else "", "source": source.title if source else "", "note": tolerance.note,
            "computed": ""}


def limits_text(knowledge: Knowledge, tolerance: Tolerance, plate: Mapping[str, Any]) -> str:
    """The limits in words; with an unknown plate every variant is named with its condition."""
    states = [(band, holds(band.when, plate)) for band in tolerance.bands]
    possible = [band for band, state in states if state is not False]
    if not possible:
        return "no limit is listed for this unit"
    if len(possible) == 1 and all(state is not None for _, state in states):
        return _band_text(possible[0], tolerance)
    return "; ".join(f"{_band_text(band, tolerance)} ({_when_text(knowledge, band)})" for band in possible)


def _band_text(band: Band, tolerance: Tolerance) -> str:
    low, high = (_amount(limit, tolerance.quantity) for limit in (band.low, band.high))
    if low and high:
        return f"{low} to {high}"
    if low:
        return f"at least {low}"
    return f"at most {high}" if high else "write down"


def _amount(amount: Any, quantity: str) -> str:
    if amount is None:
        return ""
    return parse_quantity(amount.text, quantity).show()


def _when_text(knowledge: Knowledge, band: Band) -> str:
    return ", ".join(_term_text(knowledge, term) for term in band.when)


def _term_text(knowledge: Knowledge, term: Term) -> str:
    title = knowledge.plate[term.name].title
    if term.any:
        return f"{title}: {' or '.join(_plate_text(knowledge, term.name, value) for value in term.any)}"
    words = [f"{word} {_plate_text(knowledge, term.name, limit)}"
             for word, limit in (("at least", term.low), ("below", term.high)) if limit is not None]
    return f"{title}: {' and '.join(words)}"


def _remedy(knowledge: Knowledge, remedy: Remedy, findings: Findings) -> dict[str, Any]:
    part, proof = knowledge.parts.get(remedy.part), knowledge.checks[remedy.proof]
    fits = [fit.item for fit in part.fits if holds(fit.when, findings.plate) is not False] if part else []
    return {
        "title": remedy.title, "ends": [knowledge.faults[name].title for name in remedy.ends],
        "part": part.title if part else "", "count": remedy.part_count, "fits": fits, "after": remedy.after,
        "never": remedy.never, "how": remedy.how, "steps": list(remedy.steps),
        "gates": [knowledge.gates[name].title for name in needed_gates(remedy, knowledge)],
        "who": [name for name in remedy.who if name != "owner"], "shut": _shut(knowledge, remedy),
        "proof_shut": _shut(knowledge, proof),
        "proof": proof.ask, "proof_good": proof.good,
        "proof_gates": [knowledge.gates[name].title for name in needed_gates(proof, knowledge)],
    }
