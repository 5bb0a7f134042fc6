"""The faults of a system on one page: what each is, what tells it, what ends it."""

from __future__ import annotations

from typing import Any

from docutils import nodes

from ..knowledge.model import Fault, FaultPage
from . import words
from .block_check import LIKELY, POINTS
from .facts import Facts
from .nodes import el, link, listing, prose, section


def telling(facts: Facts, fault: str) -> list[tuple[str, str]]:
    """Checks whose answers speak for a fault: (gid, the answer's words)."""
    found = []
    for gid in facts.checks_of[fault]:
        for answer in facts.checks[gid].answers.values():
            likelihood = answer.likelihood.get(fault)
            if likelihood is not None and float(LIKELY.get(likelihood, likelihood)) >= POINTS \
                    and answer.id != facts.checks[gid].clear:
                found.append((gid, answer.says))
    return found


def _causes(facts: Facts, env: Any, fault: Fault) -> list[Any]:
    said = [el("li", link(env, "fault", cause, facts.title("fault", cause)), ": ", why)
            for cause, why in fault.caused_by.items() if cause in facts.knowledge.faults]
    wrecks = [link(env, "fault", other, facts.title("fault", other)) for other in facts.caused[fault.id]]
    return [el("h3", "Look for the cause") if said else None, el("ul", said) if said else None,
            el("h3", "It can wreck") if wrecks else None, listing(wrecks)]


def fault_section(facts: Facts, env: Any, fault: Fault) -> nodes.section:
    """One fault."""
    env.get_domain("rv").note("fault", fault.id, f"fault-{fault.id}", fault.title)
    tells = [[link(env, "check", gid, facts.checks[gid].ask), el("span", f" {says}", cls="says")]
             for gid, says in telling(facts, fault.id)]
    remedies = [link(env, "remedy", gid, facts.remedies[gid].title) for gid in facts.remedies_of[fault.id]]
    symptoms = [link(env, "symptom", sid, facts.title("symptom", sid)) for sid in facts.symptoms_of[fault.id]]
    return section(
        f"fault-{fault.id}", fault.title, prose(fault.what),
        el("p", el("b", "Seen by: "), fault.evidence, cls="evidence") if fault.evidence else None,
        el("p", el("b", "Danger: "), fault.danger, cls="danger") if fault.danger else None,
        el("p", f"Comes and goes: it shows in about {fault.shows * 100:.0f} of 100 checks.", cls="note")
        if fault.shows < 1 else None,
        el("p", f"Only with {words.condition(facts.knowledge, fault.when)}.", cls="note") if fault.when else None,
        el("h3", "What tells it") if tells else None, listing(tells, "links"),
        el("h3", "What ends it") if remedies else None, listing(remedies, "links"),
        _causes(facts, env, fault),
        el("h3", "Shows as") if symptoms else None, listing(symptoms, "links"),
        cls="fault")


def fault_page(facts: Facts, env: Any, page: FaultPage) -> nodes.section:
    """The page of one kb/faults file."""
    faults = [facts.knowledge.faults[f] for f in page.faults if f in facts.knowledge.faults]
    return section(f"faults-{page.id}", page.title, prose(page.summary, "lead"),
                   [fault_section(facts, env, fault) for fault in faults])
