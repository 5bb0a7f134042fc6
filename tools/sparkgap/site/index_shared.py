"""Index pages of the shared facts: tools, parts, gates, sources, data plates, and the stop page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..knowledge.model import Amount, Tool
from . import words
from .block_remedy import fits_table
from .block_small import gate_block
from .facts import Facts
from .nodes import el, facts_list, link, listing, prose, section


def _used(facts: Facts, env: Any, kind: str, name: str, label: str = "Used in") -> Any:
    users = [link(env, by, other, facts.title(by, other)) for by, other in facts.uses[kind, name]]
    if not users:
        return None
    return el("details", el("summary", f"{label} ({len(users)})"), listing(users, "links"), cls="used")


def _note(env: Any, kind: str, entity: Any) -> str:
    anchor = f"{kind}-{entity.id}"
    env.get_domain("rv").note(kind, entity.id, anchor, entity.title)
    return anchor


def _source(facts: Facts, env: Any, name: str) -> Any:
    return link(env, "source", name, facts.title("source", name)) if name else None


def _amount(value: Amount | None) -> str:
    return words.amount(value) if value else ""


def _accuracy(tool: Tool) -> str:
    parts = [_amount(tool.fixed), f"{tool.percent:g} % of the reading" if tool.percent else "",
             f"{tool.digits:g} digits" if tool.digits else ""]
    said = " + ".join(part for part in parts if part)
    return f"± {said}" if said else ""


def tools(facts: Facts, env: Any) -> list[Any]:
    """Instruments first, with range, resolution and accuracy; then hand tools."""
    held = sorted(facts.knowledge.tools.values(), key=lambda t: (t.title, t.id))
    return [section(f"{kind}s", title, [_tool(facts, env, tool) for tool in held if tool.kind == kind])
            for kind, title in (("instrument", "Instruments"), ("hand-tool", "Hand tools"))]


def _tool(facts: Facts, env: Any, tool: Tool) -> Any:
    span = " to ".join(_amount(v) for v in (tool.low, tool.high) if v)
    return section(_note(env, "tool", tool), tool.title,
                   facts_list(("Range", span), ("Resolution", _amount(tool.resolution)), ("Accuracy", _accuracy(tool)),
                              ("Source", _source(facts, env, tool.source))),
                   prose(tool.note, "note"), _used(facts, env, "tool", tool.id), cls="entry")


def parts(facts: Facts, env: Any) -> list[Any]:
    """Each part with the item for each kind of unit, the repairs that use it and the faults these end."""
    return [_part(facts, env, part) for part in sorted(facts.knowledge.parts.values(), key=lambda p: (p.title, p.id))]


def _part(facts: Facts, env: Any, part: Any) -> Any:
    remedies = [(gid, r) for gid, r in sorted(facts.remedies.items()) if r.part == part.id]
    faults = dict.fromkeys(f for _, r in remedies for f in r.ends if f in facts.knowledge.faults)
    ends = [link(env, "fault", f, facts.title("fault", f)) for f in faults]
    return section(_note(env, "part", part), part.title, fits_table(facts, part),
                   facts_list(("Fitted in", listing([link(env, "remedy", g, r.title) for g, r in remedies], "inline")),
                              ("Ends", listing(ends, "inline")),
                              ("Source", _source(facts, env, part.source))),
                   prose(part.note, "note"), cls="entry")


def _grouped(titles: dict[str, str], attribute: str, entities: dict[str, Any], show: Callable[[Any], Any]) -> list[Any]:
    """Entities under the title of what they have in common, in the order of the titles."""
    found = []
    for value, title in titles.items():
        held = [one for _, one in sorted(entities.items()) if getattr(one, attribute) == value]
        if held:
            found.append(section(f"{attribute}-{value}", title, [show(one) for one in held]))
    return found


def gates(facts: Facts, env: Any) -> list[Any]:
    """All safety gates by hazard."""
    return _grouped(words.HAZARDS, "hazard", facts.knowledge.gates, lambda one: _gate(facts, env, one))


def _gate(facts: Facts, env: Any, gate: Any) -> Any:
    return el("div", gate_block(facts, env, gate, _note(env, "gate", gate), linked=False),
              el("p", "Source: ", _source(facts, env, gate.source), cls="note") if gate.source else None,
              _used(facts, env, "gate", gate.id, "Asked for in"), cls="entry")


def sources(facts: Facts, env: Any) -> list[Any]:
    """Sources by kind, strongest first, with the numbers that rest on each."""
    return _grouped(words.SOURCE_KINDS, "kind", facts.knowledge.sources, lambda one: _one_source(facts, env, one))


def _one_source(facts: Facts, env: Any, source: Any) -> Any:
    constants = [f"{c.title}: {words.amount(c.amount)}" for _, c in sorted(facts.knowledge.constants.items())
                 if c.source == source.id and c.amount]
    return section(_note(env, "source", source), source.title, el("p", source.where, cls="where"),
                   prose(source.note, "note"),
                   el("details", el("summary", f"Constants that rest on it ({len(constants)})"),
                      listing(constants, "links"), cls="used") if constants else None,
                   _used(facts, env, "source", source.id, "Rests on it"), cls="entry")


def units(facts: Facts, env: Any) -> list[Any]:
    """The shipped units as data plates."""
    return [_unit(facts, env, unit) for _, unit in sorted(facts.knowledge.units.items())]


def _unit(facts: Facts, env: Any, unit: Any) -> Any:
    rows = []
    for name, plate in facts.knowledge.plate.items():
        written = unit.written.get(name)
        if written is not None:
            shown = plate.values.get(written, written) if plate.values else words.quantity_text(written, plate.quantity)
            rows.append((plate.title, shown))
    return section(_note(env, "unit", unit), unit.title, facts_list(*rows, cls="facts plate"), prose(unit.note, "note"),
                   el("p", "Source: ", _source(facts, env, unit.source), cls="note") if unit.source else None,
                   cls="entry")


def stop(facts: Facts, env: Any) -> list[Any]:
    """Emergencies in the order of the file, the worst first: what to do now, whom to call, what must hold later."""
    found = []
    for name, item in facts.knowledge.emergencies.items():
        steps = el("ol", [el("li", step) for step in item.now], cls="now")
        found.append(section(f"emergency-{name}", item.title, steps,
                             el("p", item.call, cls="call") if item.call else None,
                             el("h3", "Before anyone works on it") if item.before else None,
                             listing(list(item.before), "before"), cls="emergency"))
    return found


def refusals(facts: Facts, env: Any) -> list[Any]:
    """What is refused in the order of the file: why, and the right way."""
    return [section(f"refusal-{name}", item.title, prose(item.why), el("h3", "The right way"),
                    el("ol", [el("li", step) for step in item.instead]), cls="entry")
            for name, item in facts.knowledge.refusals.items()]
