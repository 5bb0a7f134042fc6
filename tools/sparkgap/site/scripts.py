"""What the generated scripts say: shared data for every page, and the calculators and judges as functions."""

from __future__ import annotations

import json
from typing import Any

from ..intake.index import build_index
from ..knowledge.judges import compile_judge
from ..knowledge.model import Amount, PlateValue, Tool
from ..knowledge.schemas import validator
from ..quantities import quantities_json, units_json
from ..units import HINTS
from . import words
from .facts import Facts


def _si(value: Amount | None) -> float | None:
    return value.si if value else None


def _plate(value: PlateValue) -> dict[str, Any]:
    return {"title": value.title, "where": value.where, "kind": value.kind, "quantity": value.quantity,
            "unit": value.unit, "values": value.values, "low": _si(value.low), "high": _si(value.high)}


def _tool(tool: Tool) -> dict[str, Any]:
    """An instrument as the verdict takes it, in SI."""
    return {"title": tool.title, "quantity": tool.quantity, "low": _si(tool.low), "high": _si(tool.high),
            "resolution": _si(tool.resolution) or 0.0,
            "accuracy": {"fixed": _si(tool.fixed) or 0.0, "percent": tool.percent, "digits": tool.digits}}


def shared_data(facts: Facts) -> dict[str, Any]:
    """What all scripts need but the digest: units, plate vocabulary, shipped units, instruments."""
    knowledge = facts.knowledge
    return {
        "units": units_json(),
        "quantities": quantities_json(),
        "hints": dict(sorted(HINTS.items())),
        "plate": {name: _plate(value) for name, value in knowledge.plate.items()},
        "shipped": {name: {"title": unit.title, "plate": unit.plate, "written": unit.written, "note": unit.note}
                    for name, unit in sorted(knowledge.units.items())},
        "tools": {name: _tool(tool) for name, tool in sorted(knowledge.tools.items()) if tool.kind == "instrument"},
        "conformity": _constant(facts, "conformity", 0.95),
        "qualifications": words.QUALIFICATIONS,
        "tiers": list(words.TIERS),
        "sources": {name: {"title": s.title, "kind": s.kind} for name, s in sorted(knowledge.sources.items())},
        "symptoms": {name: {"title": s.title, "url": f"kb/symptoms/{s.system}/{name}.html"}
                     for name, s in sorted(knowledge.symptoms.items())},
    }


def _constant(facts: Facts, name: str, otherwise: float) -> float:
    held = facts.knowledge.constants.get(name)
    return held.amount.si if held and held.amount else otherwise


def judges_script(facts: Facts) -> str:
    """The expressions that judge several readings, as functions: no page evaluates text."""
    tables = {name: table.as_json() for name, table in sorted(facts.knowledge.table_data.items())}
    lines = [f"Sparkgap.judges[{json.dumps(gid)}] = function (v) {{ "
             f"return {compile_judge(facts.knowledge, check).javascript()}; }};"
             for gid, check in sorted(facts.checks.items()) if check.judge]
    return "\n".join([f"var t = {json.dumps(tables, sort_keys=True)};", "Sparkgap.judges = {};", *lines, ""])


def calculators_script(facts: Facts) -> str:
    """All calculators and judges."""
    emitted = [program.emit() for _, program in sorted(facts.knowledge.programs.items())]
    head = '(function () {\n"use strict";\nvar Sparkgap = globalThis.Sparkgap;\nvar F = Sparkgap.formulas;\n'
    return head + "\n".join([*emitted, judges_script(facts)]) + "})();\n"


def job_format(facts: Facts) -> dict[str, Any]:
    """The job file's schema, and by id what this knowledge calls the things that a job file names."""
    knowledge = facts.knowledge
    known: dict[str, Any] = {kind: {name: one.title for name, one in sorted(getattr(knowledge, kind).items())}
                             for kind in ("symptoms", "faults", "gates", "parts")}
    known["checks"] = {gid: {"ask": one.ask, "answers": {a.id: {"says": a.says} for a in one.answers.values()}}
                       for gid, one in sorted(facts.checks.items())}
    known["remedies"] = {gid: {"title": one.title, "ends": list(one.ends)}
                         for gid, one in sorted(facts.remedies.items())}
    return {"schema": validator("job").schema, "known": known}


def scripts(facts: Facts) -> dict[str, str]:
    """The parts of the generated scripts by name: all that follows from what the knowledge means."""
    return {"data": _json(shared_data(facts)), "intake": _json(build_index(facts.knowledge)),
            "calculators": calculators_script(facts), "job": _json(job_format(facts))}


def _json(value: Any) -> str:
    """JSON that can stand in a script."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")
