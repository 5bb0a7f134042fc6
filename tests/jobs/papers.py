"""A full job of a twelve-gallon heater for the papers' tests, invented, and one whose every text is hostile."""

from __future__ import annotations

import copy
from typing import Any

from sparkgap.jobs.file import problems

from .jobs import answer, job

PIXEL = ("/9j/4AAQSkZJRgABAQEASABIAAD/2wBDAP//////////////////////////////////////////////////////////////////////////"
         "////////////wAALCAABAAEBAREA/8QAFAABAAAAAAAAAAAAAAAAAAAACf/EABQQAQAAAAAAAAAAAAAAAAAAAAD/2gAIAQEAAD8AVN//2Q==")
HOSTILE = "<script>alert('x')</script><img src=x onerror=alert(1)>\"&</style>{{ 7*7 }}"
UNSEEN = "\u202egnp.exe\u202c\x1b[31m\x07"


def at(clock: str) -> str:
    """A moment of the day of the job."""
    return f"2026-03-02T{clock}:00Z"


def reading(text: str, value: float) -> list[dict[str, Any]]:
    """A reading of the flame current."""
    return [{"name": "flame-current", "value": value, "text": text, "tool": "dc-microammeter"}]


def full_job(**keys: Any) -> dict[str, Any]:
    """A closed job: gates, answers, a reading before and after, a remedy that failed and one that was proved."""
    log = [
        {"kind": "replaced", "at": at("09:31"), "part": "thermostat", "when": "for-this"},
        answer("first-look/relights", "at-once", at=at("09:33"), hearsay=True),
        {"kind": "gate", "at": at("09:40"), "id": "no-gas-smell", "by": "AB"},
        {"kind": "gate", "at": at("09:41"), "id": "gas-off-at-cylinder", "by": "AB"},
        answer("tank-and-bypass/bypass-position", "normal", at=at("09:44"), by="AB"),
        answer("flame-sense/flame-current", "below", at=at("10:02"), by="AB", readings=reading("0.6 uA", 6e-7),
               verdict="below", within=0.01),
        {"kind": "aside", "at": at("10:05"), "id": "gas-valve-coils/valve-click"},
        {"kind": "failed", "at": at("10:20"), "id": "spark-electrode/set-tip-and-gap", "by": "AB"},
        {"kind": "gate", "at": at("10:40"), "id": "closed-up-and-leak-checked", "by": "AB",
         "remedy": "spark-electrode/replace-electrode"},
        {"kind": "done", "at": at("10:55"), "id": "spark-electrode/replace-electrode", "by": "AB",
         "removed": "Electrode set, its ceramic cracked through with a brown track",
         "fitted": [{"part": "spark-electrode", "item": "Demo electrode set", "count": 1}]},
        answer("flame-sense/flame-current", "within", at=at("11:10"), by="AB", readings=reading("3.1 uA", 3.1e-6),
               verdict="within", within=0.99),
        {"kind": "note", "at": at("11:15"), "text": "Door latch is stiff; told the owner."},
    ]
    full = job(closed=at("11:20"), number="D-1042", technician="A. Demo", who=["technician", "gas-qualified"],
               owner={"name": "Demo owner", "contact": "demo", "place": "Site 4", "vehicle": "Demo trailer"},
               complaint="It runs eleven minutes and quits, and I already changed the thermostat.",
               minutes={"travel": 25, "find": 32, "repair": 20, "prove": 15},
               photos=[{"name": "ceramic.jpg", "at": at("10:21"), "says": "The crack, lit from the left", "width": 1,
                        "height": 1, "data": f"data:image/jpeg;base64,{PIXEL}"}],
               outcome={"end": "repaired", "fault": "electrode-insulator-cracked",
                        "cause": "A drop of water fell on the hot ceramic.", "says": "Fitted a new set, gap to gauge.",
                        "red_tag": None})
    full["unit"] = {"id": "demo-twelve-gas-electric", "title": "Demo twelve", "serial": "DEMO-7",
                    "plate": {"volume": 0.045425, "ignition": "direct-spark", "board": "standard"}}
    full["log"] = log
    full |= copy.deepcopy(keys)
    assert problems(full) == []
    return full


def left_off(**tag: str) -> dict[str, Any]:
    """The same job, ended with the unit left shut off."""
    words = {"why": "The burner tube is burnt through and the flame comes out beside it.",
             "shut": "Cylinder valve, tagged; the heater's gas cock; its 12 V fuse pulled.",
             "before": "A new burner tube, and carbon monoxide measured by someone qualified for gas.", **tag}
    return full_job(outcome={"end": "left-off", "fault": None, "red_tag": words})


def hostile_job() -> dict[str, Any]:
    """Every free text of the job would run, break out or turn the line if it were more than text."""
    bad = HOSTILE + UNSEEN
    worst = left_off(why=bad, shut=bad, before=bad)
    worst |= {"number": bad[:40], "technician": bad[:80], "complaint": bad}
    worst["owner"] = {"name": bad[:120], "vehicle": bad[:120]}
    worst["unit"] |= {"title": bad[:120], "serial": bad[:60]}
    worst["outcome"] |= {"cause": bad, "says": bad}
    worst["photos"][0]["says"] = bad
    for entry in worst["log"]:
        entry["by"] = bad[:80]
        if entry["kind"] == "note":
            entry["text"] = bad
        if entry["kind"] == "done":
            entry |= {"removed": bad, "fitted": [{"part": None, "item": bad[:120], "count": 2}]}
        for one in entry.get("readings", []):
            one["text"] = bad[:60]
    assert problems(worst) == []
    return worst
