"""The owner sheet: what the owner may check alone, in plain words, to print or to send as a message.

A check is on it only when nobody but an owner is needed for it, for the accesses that it opens and for its gates; when
it is a matter of looking and listening; and when it needs the unit in no state and leaves it in none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..diagnosis.calculators import plate_calculators
from ..diagnosis.compile import compile_symptom
from ..diagnosis.guide import guide
from ..knowledge import Knowledge
from ..knowledge.acts import Check
from ..knowledge.conditions import holds
from ..knowledge.needs import access_chain, needed_gates, symptom_checks
from .paper import document
from .words import columns, filled, listed, section

GRAVEST = 3  # dangers told with every step; kb/emergencies.yaml begins with the gravest
INTRODUCTION = ("Nothing on this sheet needs a cover opened, a screw turned or a wire touched. Answer what you can, "
                "leave out what you cannot, and send the sheet back or read it out. It is read by whoever comes, and "
                "often it tells which part to bring.")
THEN = ("Then call from outside: the emergency number when somebody is hurt or anything burns or smells of gas, else "
        "a qualified technician. It all stays off until then.")
STOP = (
    "One of the dangers above is there, or you are not sure whether it is.",
    "Something would have to be opened, unscrewed, unplugged or held by force to go on.",
    "It does not light: no second and third try. Each leaves gas behind.",
    "A breaker, a fuse or a limit has tripped: it stays as it is until somebody knows why.",
    "Anything is not as a question supposes.",
)
NONE = "There is nothing here that an owner should check alone. Leave it off and call."
NEVER = ("Never wedge, tape, plug or bridge a button, a valve or a safety device, and never fit a larger fuse. Local "
         "codes and the maker's instructions for your unit come before this sheet.")
FIELDS = ("Name", "Telephone", "Where the vehicle stands", "Vehicle", "Maker and model, from its data plate",
          "Serial number", "Fuel and power, from its data plate", "How old it is", "Parts fitted lately",
          "When it began, and what happened just before")


def owner_checks(knowledge: Knowledge, symptom: str, plate: Mapping[str, Any]) -> list[Check]:
    """The checks that an owner may do alone: those that come first, then as the guide would ask an owner."""
    able = {check.gid: check for check in symptom_checks(knowledge, symptom)
            if owner_may(knowledge, check) and holds(check.applies_to, plate) is not False}
    first = [gid for gid in knowledge.symptoms[symptom].first if gid in able]
    evidence = {"results": {}, "aside": [], "replaced": [], "failed": [], "open": [], "who": ["owner"]}
    asked = guide(compile_symptom(knowledge, symptom), plate, evidence, plate_calculators(knowledge))["next"]
    ranked = [act["id"] for act in asked if act["id"] in able]
    return [able[gid] for gid in dict.fromkeys([*first, *ranked, *able])]


def owner_may(knowledge: Knowledge, check: Check) -> bool:
    """Whether an owner may do a check alone."""
    who = {*check.who}
    for access in access_chain(check.access, knowledge):
        who.update(knowledge.access[access].who)
    for gate in needed_gates(check, knowledge):
        who.update(knowledge.gates[gate].who)
    return who <= {"owner"} and check.tier == 0 and not check.requires and not check.leaves


def sheet_data(knowledge: Knowledge, symptom: str, unit: str = "") -> dict[str, Any]:
    """Everything that the sheet says, as plain data."""
    plate = knowledge.units[unit].plate if unit else {}
    checks = owner_checks(knowledge, symptom, plate)
    gates = list(dict.fromkeys(gate for check in checks for gate in needed_gates(check, knowledge)))
    return {
        "title": knowledge.symptoms[symptom].title, "unit": knowledge.units[unit].title if unit else "",
        "introduction": INTRODUCTION, "then": THEN, "dangers": _dangers(knowledge, symptom),
        "gates": [knowledge.gates[gate] for gate in gates],
        "checks": [_check(knowledge, check) for check in checks],
        "none": NONE, "fields": FIELDS, "stop": STOP, "never": NEVER,
        "digest": knowledge.digest, "demo": knowledge.demo,
    }


def sheet_html(sheet: Mapping[str, Any], paper: str = "letter") -> str:
    """The sheet as one HTML document that needs no other file."""
    return document("owner_sheet.html", ("papers.css",), paper, sheet=sheet)


def sheet_text(sheet: Mapping[str, Any]) -> str:
    """The sheet as plain text for a message."""
    dangers = [f"{one['title']}: {' '.join([*one['now'], *([one['call']] if one['full'] else [])])}"
               for one in sheet["dangers"]]
    parts = [
        filled(sheet["title"] + (f" ({sheet['unit']})" if sheet["unit"] else "")), "What you can check yourself",
        section("Danger first: if one of these is so, do only what stands there", listed(dangers),
                filled(sheet["then"])),
        filled(sheet["introduction"]),
        *(section("See that this holds", listed(f"{one.title}. {one.says} If not: {one.otherwise}"
                                                  for one in sheet["gates"])) for _ in sheet["gates"][:1]),
        *(_check_text(number, one) for number, one in enumerate(sheet["checks"], 1)),
        *(filled(NONE) for _ in range(not sheet["checks"])),
        section("Please tell us", columns([(f"{field}:", "_" * 28) for field in sheet["fields"]], (47, 28))),
        section("Stop and call when", listed(sheet["stop"]), filled(sheet["never"])),
    ]
    return "\n\n".join([*parts, filled(sheet["demo"])] if sheet["demo"] else parts)


def _dangers(knowledge: Knowledge, symptom: str) -> list[dict[str, Any]]:
    """The gravest dangers with every step, then in a line each those of the symptom's own hazards."""
    every = list(knowledge.emergencies.values())
    near = {knowledge.gates[gate].hazard for procedure in knowledge.procedures.values()
            if symptom in procedure.symptoms for gate in procedure.safety_gates}
    return [{"title": one.title, "now": one.now, "call": one.call, "full": True} for one in every[:GRAVEST]] + [
        {"title": one.title, "now": one.now[:1], "call": one.call, "full": False}
        for one in every[GRAVEST:] if one.hazard in near]


def _check(knowledge: Knowledge, check: Check) -> dict[str, Any]:
    tolerances = knowledge.procedures[check.procedure].tolerances
    return {
        "gid": check.gid, "ask": check.ask_owner or check.ask, "never": check.never,
        "gates": [knowledge.gates[gate].title for gate in needed_gates(check, knowledge)],
        "tools": [knowledge.tools[tool].title for tool in check.tools],
        "readings": [tolerances[name].title for name in check.measure],
        "answers": [] if check.measure else [(one.says, one.then) for one in check.answers.values()],
    }


def _check_text(number: int, check: Mapping[str, Any]) -> str:
    lines = [filled(f"{number}. {check['ask']}", "   ", "")]
    if check["gates"]:
        lines.append(filled(f"See above: {'; '.join(check['gates'])}.", "   "))
    if check["tools"]:
        lines.append(filled(f"You need: {', '.join(check['tools'])}.", "   "))
    if check["never"]:
        lines.append(filled(f"NEVER: {check['never']}", "   "))
    lines += [filled(f"{says}{' (then: ' + then + ')' if then else ''}", "       ", "   [ ] ")
              for says, then in check["answers"]]
    lines += [filled(f"{title}: __________", "   ") for title in check["readings"]]
    return "\n".join(lines)
