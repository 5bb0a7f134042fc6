"""Gates and tolerances as they stand in a procedure and in their indexes."""

from __future__ import annotations

from typing import Any

from ..knowledge.model import Gate, Tolerance
from . import words
from .facts import Facts
from .nodes import el, link, prose, tag


def gate_block(facts: Facts, env: Any, gate: Gate, anchor: str, linked: bool = True) -> tag:
    """A safety gate: what must hold, how to be sure, and what to do when it does not."""
    title = link(env, "gate", gate.id, gate.title) if linked else gate.title
    who = [words.QUALIFICATIONS[name] for name in gate.who if name in words.QUALIFICATIONS]
    return el("aside",
              el("header", el("span", "Gate", cls="kind"), el("b", title, cls="gate-title"),
                 el("span", words.HAZARDS.get(gate.hazard, ""), cls="hazard"),
                 el("span", cls="initials", aria_hidden="true"), cls="gate-head"),
              el("div", prose(gate.says), cls="gate-says"),
              el("dl", el("div", el("dt", "Be sure"), el("dd", prose(gate.how))) if gate.how else None,
                 el("div", el("dt", "If it does not hold"), el("dd", prose(gate.otherwise)), cls="gate-otherwise"),
                 el("div", el("dt", "Who"), el("dd", ", ".join(who))) if who else None, cls="told"),
              cls=f"gate hazard-{gate.hazard}", ids=[anchor], data_gate=gate.id, aria_label="Safety gate")


def tolerance_block(facts: Facts, env: Any, tolerance: Tolerance, anchor: str) -> tag:
    """The limits by unit, the instrument and the source."""
    knowledge = facts.knowledge
    rows = [el("tr", el("th", words.condition(knowledge, band.when), scope="row"), el("td", words.limits(band)),
               data_when=words.condition_json(band.when)) for band in tolerance.bands]
    source, tool = knowledge.sources.get(tolerance.source), knowledge.tools.get(tolerance.tool)
    memory = source is not None and source.kind == "memory"
    return el("section",
              el("header", el("span", "Limit", cls="kind"), el("b", tolerance.title), cls="tolerance-head"),
              el("table", el("thead", el("tr", el("th", "For"), el("th", "Limit"))), el("tbody", rows), cls="by-unit"),
              el("p", "Read with ", link(env, "tool", tool.id, tool.title), ". " if source else None,
                 cls="with") if tool else None,
              el("p", "Source: ", link(env, "source", source.id, source.title),
                 f" ({words.SOURCE_KINDS.get(source.kind, source.kind).lower()})", cls="from") if source else None,
              el("p", "This limit is recalled, not looked up. It never settles a reading alone: "
                 "the maker's figure does.", cls="caution") if memory else None,
              el("p", "A reading too close to call counts as not within: the unit is not handed back on it.",
                 cls="caution") if tolerance.safety else None,
              prose(tolerance.note, "note"),
              cls="tolerance", ids=[anchor], data_tolerance=f"{tolerance.procedure}/{tolerance.id}")
