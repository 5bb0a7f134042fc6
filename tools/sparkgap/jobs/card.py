"""The job card: one procedure printed for one job, blank or with what the guide has found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from ..knowledge import Knowledge
from ..knowledge.acts import Band, Check, Procedure, Remedy, Tolerance
from ..knowledge.conditions import holds
from ..knowledge.needs import needed_gates
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
    checks = [knowledge.checks.get(p.target) or procedure.checks[p.target]
              for p in procedure.placements if p.kind == "check"]
    return {
        "title": procedure.title, "id": procedure.id, "revision": procedure.revision, "reviewed": procedure.reviewed,
        "digest": knowledge.digest, "demo": knowledge.demo,
        "unit": findings.unit, "complaint": findings.complaint, "symptom": findings.symptom,
        "plate": [(knowledge.plate[name].title, _plate_text(knowledge, name, value))
                  for name, value in findings.plate.items()],
        "gates": [knowledge.gates[name] for name in procedure.safety_gates],
        "tools": [knowledge.tools[name].title for name in procedure.tools],
        "belief": [(_cause(knowledge, name), f"{100 * share:.0f} %") for name, share in findings.belief],
        "replaced": [knowledge.parts[name].title for name in findings.replaced],
        "found": [_found(knowledge, gid, result) for gid, result in sorted(findings.results.items())],
        "checks": [_check(knowledge, check, findings) for check in checks],
        "remedies": [_remedy(knowledge, remedy, findings) for remedy in procedure.remedies.values()],
    }


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
        "who": [name for name in check.who if name != "owner"],
        "answers": [{"says": answer.says, "then": answer.then, "chosen": answer.id == chosen}
                    for answer in check.answers.values()],
        "readings": _readings(knowledge, check, findings),
        "verdict": findings.judged.get(check.gid),
    }


def _readings(knowledge: Knowledge, check: Check, findings: Findings) -> list[dict[str, str]]:
    tolerances = knowledge.procedures[check.procedure].tolerances
    names = [*check.measure, *([check.limit] if check.judge else [])]
    rows = []
    for name in names:
        tolerance = tolerances[name]
        tool = knowledge.tools.get(tolerance.tool)
        source = knowledge.sources.get(tolerance.source)
        rows.append({"title": tolerance.title, "limits": limits_text(tolerance, findings.plate),
                     "tool": tool.title if tool else "", "source": source.title if source else "",
                     "computed": "yes" if check.judge and name == check.limit else ""})
    return rows


def limits_text(tolerance: Tolerance, plate: Mapping[str, Any]) -> str:
    """The limits in words; with an unknown plate every variant is named with its condition."""
    bands = [band for band in tolerance.bands if holds(band.when, plate) is not False]
    if len(bands) == 1:
        return _band_text(bands[0], tolerance)
    return "; ".join(f"{_band_text(band, tolerance)} ({_when_text(band)})" for band in bands)


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


def _when_text(band: Band) -> str:
    return ", ".join(f"{term.name} {' or '.join(map(str, term.any))}" if term.any else term.name for term in band.when)


def _remedy(knowledge: Knowledge, remedy: Remedy, findings: Findings) -> dict[str, Any]:
    part = knowledge.parts.get(remedy.part)
    fits = [fit.item for fit in part.fits if holds(fit.when, findings.plate) is not False] if part else []
    return {
        "title": remedy.title, "ends": [knowledge.faults[name].title for name in remedy.ends],
        "part": part.title if part else "", "fits": fits, "after": remedy.after, "never": remedy.never,
        "gates": [knowledge.gates[name].title for name in needed_gates(remedy, knowledge)],
        "who": [name for name in remedy.who if name != "owner"],
        "proof": knowledge.checks[remedy.proof].ask, "proof_good": knowledge.checks[remedy.proof].good,
    }
