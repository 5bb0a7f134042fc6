"""A check as it stands in a procedure: the question, how it is done, and what each answer means."""

from __future__ import annotations

import json
from typing import Any

from ..knowledge.model import Act, Answer, Check, Tolerance
from . import words
from .facts import Facts
from .nodes import el, link, listing, prose, tag

LIKELY = {"sure": 0.98, "likely": 0.80, "even": 0.50, "unlikely": 0.20, "rare": 0.02}
POINTS = 0.5  # an answer is said to point to a fault from this likelihood on


def chips(facts: Facts, act: Act) -> tag:
    """Time, tier and who, as one line of short facts."""
    who = words.needed(facts.knowledge, act)
    said = " + ".join(words.QUALIFICATIONS[name] for name in who) or "Anyone"
    return el("ul", el("li", words.minutes(act.minutes), cls="chip chip-time"),
              el("li", words.TIERS[act.tier], cls=f"chip chip-tier tier-{act.tier}"),
              el("li", said, cls="chip chip-who"), cls="chips")


def act_facts(facts: Facts, env: Any, act: Act) -> list[tuple[str, Any]]:
    """The lines that checks and remedies share: what to open, what state, gates and tools."""
    knowledge = facts.knowledge
    opened = [knowledge.access[name].title for name in words.access_chain(knowledge, act.access)]
    closed = [knowledge.access[name].title for name in act.closes if name in knowledge.access]
    gates = [link(env, "gate", g, knowledge.gates[g].title) for g in words.all_gates(knowledge, act)]
    tools = [link(env, "tool", t, knowledge.tools[t].title) for t in act.tools if t in knowledge.tools]
    return [
        ("Reach", ", then ".join(opened)),
        ("Closed for it", ", ".join(closed)),
        ("State", words.state_words(act.requires)),
        ("Leaves", words.state_words(act.leaves)),
        ("Gates", listing(gates, "inline")),
        ("Tools", listing(tools, "inline")),
    ]


def _rows(pairs: list[tuple[str, Any]], cls: str) -> tag | None:
    rows = [el("div", el("dt", term), el("dd", value)) for term, value in pairs if value not in ("", None, [], ())]
    return el("dl", rows, cls=cls) if rows else None


def points_to(facts: Facts, answer: Answer) -> list[str]:
    """The faults an answer speaks for, strongest first."""
    said = {name: LIKELY.get(value, value) for name, value in answer.likelihood.items()}
    strong = [name for name, value in said.items() if float(value) >= POINTS and name in facts.knowledge.faults]
    return sorted(strong, key=lambda name: (-float(said[name]), name))


def _answer(facts: Facts, env: Any, check: Check, answer: Answer) -> tag:
    faults = [link(env, "fault", name, facts.knowledge.faults[name].title) for name in points_to(facts, answer)]
    label = el("span", "Points to", cls="label")
    points = el("div", label, listing(faults, "inline"), cls="points") if faults else None
    blocks = el("p", "Nothing is fired or energised until this is put right.", cls="blocks") if answer.blocks else None
    good = answer.id == check.clear
    return el("li", el("span", cls="box", aria_hidden="true"),
              el("div", el("b", answer.says, cls="says"),
                 el("span", "good", cls="mark") if good else None,
                 el("p", answer.means, cls="means") if answer.means else None,
                 el("p", answer.then, cls="then") if answer.then else None,
                 blocks, points),
              cls="answer" + (" clear" if good else ""), data_answer=answer.id)


def tolerance_json(facts: Facts, tolerance: Tolerance) -> dict[str, Any]:
    """A tolerance for the scripts that judge a reading."""
    source = facts.knowledge.sources.get(tolerance.source)
    return {
        "id": tolerance.id, "title": tolerance.title, "quantity": tolerance.quantity, "tool": tolerance.tool,
        "unit": _unit(facts, tolerance),
        "safety": tolerance.safety, "source_kind": source.kind if source else "",
        "bands": [{"when": [t.as_json() for t in band.when], "low": band.low.si if band.low else None,
                   "high": band.high.si if band.high else None, "says": words.limits(band),
                   "for": words.condition(facts.knowledge, band.when)} for band in tolerance.bands],
    }


def _unit(facts: Facts, tolerance: Tolerance) -> str:
    """The unit in which a reading is offered: that of its limit, of its instrument, or the usual one.

    A watch shows seconds, but people say for how many minutes a burner ran.
    """
    tool = facts.knowledge.tools.get(tolerance.tool)
    amounts = [bound for band in tolerance.bands for bound in (band.low, band.high)]
    if tool and tool.quantity == tolerance.quantity != "duration":
        amounts += [tool.resolution, tool.high]
    written = [words.unit_of(amount) for amount in amounts if amount]
    return next((unit for unit in written if unit), words.usual_unit(tolerance.quantity))


def _uses(facts: Facts, check: Check) -> dict[str, Any]:
    from ..knowledge.judges import judge_uses  # here: few checks have a judge, and the formulas take time to load

    return judge_uses(facts.knowledge, check)


def measure_json(facts: Facts, check: Check) -> dict[str, Any] | None:
    """What is read in a check and how it is judged, for the scripts; None for a check answered by eye."""
    readings = [facts.knowledge.tolerance(check.procedure, name) for name in check.measure]
    if not readings or any(t is None for t in readings):
        return None
    limit = facts.knowledge.tolerance(check.procedure, check.limit) if check.limit else readings[0]
    return {
        "gid": check.gid, "judged": bool(check.judge),
        "readings": [{**tolerance_json(facts, t), "name": t.id.replace("-", "_")} for t in readings],
        "limit": tolerance_json(facts, limit) if limit else None,
        "uses": _uses(facts, check) if check.judge else None,
        "answers": {a.id: a.says for a in check.answers.values()},
    }


def _limits(facts: Facts, env: Any, check: Check) -> tag | None:
    measured = measure_json(facts, check)
    if not measured:
        return None
    rows = []
    for reading in [*measured["readings"], *([measured["limit"]] if check.judge and measured["limit"] else [])]:
        for band in reading["bands"]:
            title = reading["title"] + (f", {band['for']}" if band["when"] else "")
            rows.append(el("tr", el("th", title, scope="row"), el("td", band["says"]), el("td", cls="blank"),
                           data_when=json.dumps(band["when"], sort_keys=True)))
    head = el("tr", el("th", "Reading"), el("th", "Limit"), el("th", "Read"))
    return el("div", el("table", el("thead", head), el("tbody", rows)), cls="reading-limits",
              data_reading=json.dumps(measured))


def check_block(facts: Facts, env: Any, check: Check, anchor: str, foreign: bool = False) -> tag:
    """The whole check. A foreign one belongs to another procedure and links there."""
    owner = el("p", "Described in ", link(env, "check", check.gid, facts.title("procedure", check.procedure)),
               cls="owner") if foreign else None
    told = [("Why now", prose(check.why)), ("Good answer", prose(check.good)), ("How", prose(check.how)),
            ("Never", prose(check.never))]
    names = {"Why now": "why", "Good answer": "good", "How": "how", "Never": "never"}
    lines = [el("div", el("dt", term), el("dd", value), cls=f"told-{names[term]}") for term, value in told if value]
    return el("article",
              el("header", el("span", "Check", cls="kind"), chips(facts, check), cls="act-head"),
              el("h3", check.ask, cls="ask"), owner,
              el("dl", lines, cls="told") if lines else None,
              _limits(facts, env, check),
              el("ul", [_answer(facts, env, check, a) for a in check.answers.values()], cls="answers"),
              _rows(act_facts(facts, env, check), "facts act-facts"),
              cls=f"act check tier-{check.tier}", ids=[anchor], data_check=check.gid)
