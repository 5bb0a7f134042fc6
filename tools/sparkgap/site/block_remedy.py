"""A remedy as it stands in a procedure: what it ends, the part for the unit, and the proof."""

from __future__ import annotations

from typing import Any

from ..knowledge.model import Part, Remedy
from . import words
from .block_check import _rows, act_facts, chips
from .facts import Facts
from .nodes import el, link, listing, prose, tag


def _wait(minutes: float) -> str:
    if minutes <= 0:
        return "on the truck"
    return f"{minutes / 60:g} h" if minutes >= 60 else f"{minutes:g} min"


def fits_table(facts: Facts, part: Part) -> tag:
    """What fits which unit; the scripts mark the row for the unit in hand."""
    rows = [el("tr", el("th", words.condition(facts.knowledge, fit.when), scope="row"),
               el("td", fit.item, el("small", fit.note) if fit.note else None),
               el("td", f"${fit.price:,.2f}", cls="number"), el("td", _wait(fit.wait)),
               data_when=words.condition_json(fit.when)) for fit in part.fits]
    head = el("tr", el("th", "For"), el("th", "Part"), el("th", "Price"), el("th", "Wait"))
    return el("table", el("thead", head), el("tbody", rows), cls="fits by-unit")


def remedy_block(facts: Facts, env: Any, remedy: Remedy, anchor: str, foreign: bool = False) -> tag:
    """The whole remedy."""
    knowledge = facts.knowledge
    ends = [link(env, "fault", f, knowledge.faults[f].title) for f in remedy.ends if f in knowledge.faults]
    part = knowledge.parts.get(remedy.part)
    proof = facts.checks.get(remedy.proof)
    root = [el("li", link(env, "fault", cause, facts.title("fault", cause)), ": ", why)
            for fault in remedy.ends if fault in knowledge.faults
            for cause, why in knowledge.faults[fault].caused_by.items() if cause in knowledge.faults]
    told = [("Why", prose(remedy.why)), ("How", prose(remedy.how)), ("Never", prose(remedy.never)),
            ("Afterwards", prose(remedy.after))]
    lines = [el("div", el("dt", term), el("dd", value), cls=f"told-{term.lower()}") for term, value in told if value]
    return el("article",
              el("header", el("span", "Remedy", cls="kind"), chips(facts, remedy), cls="act-head"),
              el("h3", el("span", cls="box", aria_hidden="true"), remedy.title, cls="ask"),
              el("p", "Described in ", link(env, "remedy", remedy.gid, facts.title("procedure", remedy.procedure)),
                 cls="owner") if foreign else None,
              el("div", el("span", "Ends", cls="label"), listing(ends, "inline"), cls="ends"),
              el("dl", lines, cls="told") if lines else None,
              el("div", el("span", "Find the root cause too", cls="label"), el("ul", root), cls="root")
              if root else None,
              el("div", el("span", "Part by unit: ", cls="label"), link(env, "part", part.id, part.title),
                 f", {remedy.part_count} of them" if remedy.part_count > 1 else "",
                 fits_table(facts, part), cls="part") if part else None,
              el("div", el("span", "Proof", cls="label"), " ", link(env, "check", proof.gid, proof.ask),
                 cls="proof") if proof else None,
              _rows(act_facts(facts, env, remedy), "facts act-facts"),
              cls=f"act remedy tier-{remedy.tier}", ids=[anchor], data_remedy=remedy.gid)
