"""Index pages of the things that have a page of their own: symptoms, faults, procedures, calculators, tolerances."""

from __future__ import annotations

from typing import Any

from . import words
from .block_small import tolerance_block
from .facts import Facts
from .nodes import el, link, listing, section


def by_system(facts: Facts, env: Any, entities: Any, entry: Any) -> list[Any]:
    """Entities under one heading a system, in the order of the systems."""
    systems = {e.system for e in entities}
    order = [s for s in words.SYSTEMS if s in systems] + sorted(systems - set(words.SYSTEMS))
    return [section(f"system-{system}", words.system_title(system),
                    el("ul", [entry(e) for e in sorted(entities, key=lambda e: (e.title, e.id)) if e.system == system],
                       cls="tiles")) for system in order]


def _tile(env: Any, kind: str, entity: Any, text: str, *more: Any) -> Any:
    title = el("b", link(env, kind, entity.id, entity.title))
    return el("li", title, el("p", text) if text else None, *more, cls="tile")


def symptoms(facts: Facts, env: Any) -> list[Any]:
    """Symptoms by system."""
    return by_system(facts, env, facts.knowledge.symptoms.values(), lambda s: _tile(env, "symptom", s, s.summary))


def procedures(facts: Facts, env: Any) -> list[Any]:
    """Procedures by system."""
    return by_system(facts, env, facts.knowledge.procedures.values(), lambda p: _tile(
        env, "procedure", p, p.summary, el("p", f"Revision {p.revision}, reviewed {p.reviewed}", cls="note")))


def faults(facts: Facts, env: Any) -> list[Any]:
    """Faults by system, each linked to its section."""
    return [section(f"system-{page.id}", page.title,
                    listing([link(env, "fault", f, facts.title("fault", f)) for f in page.faults
                             if f in facts.knowledge.faults], "links"))
            for _, page in sorted(facts.knowledge.fault_pages.items())]


def calculators(facts: Facts, env: Any) -> list[Any]:
    """All calculators."""
    found = sorted(facts.knowledge.calculators.values(), key=lambda c: (c.title, c.id))
    return [el("ul", [_tile(env, "calculator", c, c.summary) for c in found], cls="tiles")]


def tolerances(facts: Facts, env: Any) -> list[Any]:
    """All limits by procedure; the limit itself lives in its procedure."""
    sections = []
    for pid, procedure in sorted(facts.knowledge.procedures.items(), key=lambda item: item[1].title):
        if procedure.tolerances:
            blocks = [_tolerance(facts, env, pid, tolerance) for tolerance in procedure.tolerances.values()]
            sections.append(section(f"limits-{pid}", procedure.title, blocks))
    return sections


def _tolerance(facts: Facts, env: Any, pid: str, tolerance: Any) -> Any:
    gid = f"{pid}/{tolerance.id}"
    used = [link(env, kind, name, facts.title(kind, name)) for kind, name in facts.uses["tolerance", gid]]
    return el("div", tolerance_block(facts, env, tolerance, f"limit-{pid}-{tolerance.id}"),
              el("p", "Stands in ", link(env, "tolerance", gid, facts.title("procedure", pid)), cls="note"),
              el("div", el("span", "Read in", cls="label"), listing(used, "inline")) if used else None, cls="entry")
