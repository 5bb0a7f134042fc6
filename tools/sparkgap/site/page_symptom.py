"""The page of one symptom: readable as an ordered list of checks; the guide takes the place of the list's top."""

from __future__ import annotations

from typing import Any

from docutils import nodes

from ..diagnosis.reasons import percent
from ..knowledge.conditions import clash
from ..knowledge.model import Symptom
from . import words
from .block_check import chips, points_to
from .facts import Facts
from .nodes import el, link, listing, prose, section, tag


def shares(facts: Facts, sid: str) -> list[tuple[str, float]]:
    """The shares before anything has been checked: the faults by weight, then normal and other."""
    symptom, knowledge = facts.knowledge.symptoms[sid], facts.knowledge
    weights = {f: w for f, w in symptom.faults.items() if f in knowledge.faults}
    for other, also in symptom.also.items():
        included = knowledge.symptoms.get(other)
        own = {f: w for f, w in (included.faults if included else {}).items()
               if f in knowledge.faults and f not in weights}
        total = sum(own.values())
        weights.update({f: also.weight * w / total for f, w in own.items()} if total else {})
    rest = 1 - sum(symptom.weights.get(name, 0.05) for name in ("normal", "other"))
    total = sum(weights.values()) or 1
    ranked = sorted(weights.items(), key=lambda item: (-item[1], item[0]))
    return [(f, rest * w / total) for f, w in ranked] + [(n, symptom.weights.get(n, 0.05)) for n in ("normal", "other")]


def _causes(facts: Facts, env: Any, sid: str) -> tag:
    names = {"normal": "Nothing is wrong, the unit does what it should", "other": "Something that is not listed here"}
    rows = []
    for name, share in shares(facts, sid):
        said = names[name] if name in names else link(env, "fault", name, facts.title("fault", name))
        rows.append(el("li", el("span", said, cls="cause"), el("span", percent(share), cls="share"),
                       el("progress", value=f"{share:.4f}", max="1", aria_hidden="true"), data_cause=name))
    return el("ol", rows, cls="causes static-causes")


def _step(facts: Facts, env: Any, gid: str) -> tag:
    check = facts.checks[gid]
    answers = []
    for answer in check.answers.values():
        faults = [link(env, "fault", f, facts.title("fault", f)) for f in points_to(facts, answer)]
        answers.append(el("li", el("b", answer.says), f": {answer.means}" if answer.means else "",
                          el("div", "Points to ", listing(faults, "inline"), cls="points") if faults else None))
    gates = [facts.knowledge.gates[g].title for g in words.all_gates(facts.knowledge, check)]
    return el("li", el("h3", link(env, "check", gid, check.ask)), chips(facts, check),
              el("p", el("b", "First hold: "), "; ".join(gates), cls="holds") if gates else None,
              el("p", el("b", "How: "), check.how) if check.how else None,
              el("p", el("b", "Never: "), check.never, cls="never") if check.never else None,
              el("ul", answers, cls="plain-answers"), cls="step", data_check=gid)


def _procedures(facts: Facts, sid: str) -> list[str]:
    named, unit = list(facts.procedures_of[sid]), facts.knowledge.symptoms[sid].applies_to
    for gid in facts.symptom_checks(sid):
        named.append(facts.checks[gid].procedure)
    for fault in facts.symptom_faults(sid):
        remedies = [facts.remedies[gid] for gid in facts.remedies_of[fault]]
        named += [one.procedure for one in remedies if not clash(one.applies_to, unit)]
    return list(dict.fromkeys(named))


def _mistaken(facts: Facts, env: Any, symptom: Symptom) -> nodes.section | None:
    rows = [el("li", link(env, "symptom", sid, facts.title("symptom", sid)), ": ", how)
            for sid, how in symptom.mistaken_for.items() if sid in facts.knowledge.symptoms]
    if not rows and not symptom.normal:
        return None
    return section("mistaken", "Easily mistaken for", el("ul", rows) if rows else None,
                   el("p", el("b", "Normal, not a fault: "), symptom.normal) if symptom.normal else None)


def symptom_page(facts: Facts, env: Any, symptom: Symptom) -> nodes.section:
    """The whole page. The scripts put the guide before the list and fold the list away."""
    env.get_domain("rv").note("symptom", symptom.id, "", symptom.title)
    sid, knowledge = symptom.id, facts.knowledge
    steps = [_step(facts, env, gid) for gid in facts.symptom_checks(sid)]
    procedures = [link(env, "procedure", p, knowledge.procedures[p].title) for p in _procedures(facts, sid)]
    phrases = el("details", el("summary", "How owners say it"), el("ul", [el("li", f"“{p}”") for p in symptom.phrases]),
                 cls="phrases") if symptom.phrases else None
    source = link(env, "source", symptom.source, facts.title("source", symptom.source)) if symptom.source else None
    return section(
        f"symptom-{sid}", symptom.title,
        el("p", words.system_title(symptom.system), cls="kicker"), prose(symptom.summary, "lead"),
        el("div", ids=["sg-guide"], cls="guide", hidden="hidden"),
        section("checks-in-order", "The checks in order",
                el("p", "Work down the list. Leave it at the first answer that points to a fault, repair, prove it.",
                   cls="list-intro"), el("ol", steps, cls="steps")),
        section("causes", "What it can be", _causes(facts, env, sid),
                el("p", "Shares before any check. Source: ", source, cls="note") if source else None,
                cls="static-share"),
        _mistaken(facts, env, symptom),
        section("procedures", "Procedures", listing(procedures, "links")) if procedures else None,
        phrases, cls="symptom")
