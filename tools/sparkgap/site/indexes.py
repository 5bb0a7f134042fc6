"""Index pages: a committed Markdown page holds a few words and one ``{listing}`` directive, which lists the things.

Each index says which facts it shows; when these change its page is read again (see incremental).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from docutils import nodes
from sphinx.util.docutils import SphinxDirective

from . import index_lists, index_shared
from .facts import Facts, facts_of


@dataclass(frozen=True)
class Index:
    """How an index page is built, and the facts that it shows."""

    build: Callable[[Facts, Any], list[Any]]
    shows: Callable[[Facts], Any]


def _users(facts: Facts, kind: str) -> Any:
    return [(key, [(*by, facts.title(*by)) for by in users])
            for key, users in sorted(facts.uses.items()) if key[0] == kind and users]  # asking leaves empty lists


def _with_users(kind: str, *collections: str) -> Callable[[Facts], Any]:
    return lambda facts: [*(getattr(facts.knowledge, name) for name in collections), _users(facts, kind)]


INDEXES: dict[str, Index] = {
    "symptoms": Index(index_lists.symptoms, lambda f: [
        (s.id, s.title, s.system, s.summary) for _, s in sorted(f.knowledge.symptoms.items())]),
    "faults": Index(index_lists.faults, lambda f: [
        (p.id, p.title, [(n, f.title("fault", n)) for n in p.faults])
        for _, p in sorted(f.knowledge.fault_pages.items())]),
    "procedures": Index(index_lists.procedures, lambda f: [
        (p.id, p.title, p.system, p.summary, p.revision, p.reviewed)
        for _, p in sorted(f.knowledge.procedures.items())]),
    "calculators": Index(index_lists.calculators, lambda f: [
        (c.id, c.title, c.summary) for _, c in sorted(f.knowledge.calculators.items())]),
    "tolerances": Index(index_lists.tolerances, lambda f: [
        f.tolerances, _users(f, "tolerance"), f.knowledge.plate, f.knowledge.tools, f.knowledge.sources,
        [(p.id, p.title) for _, p in sorted(f.knowledge.procedures.items())]]),
    "tools": Index(index_shared.tools, _with_users("tool", "tools", "sources")),
    "parts": Index(index_shared.parts, lambda f: [
        f.knowledge.parts, f.knowledge.plate, f.knowledge.sources,
        [(g, r.title, r.part, [(x, f.title("fault", x)) for x in r.ends]) for g, r in sorted(f.remedies.items())]]),
    "gates": Index(index_shared.gates, _with_users("gate", "gates", "sources")),
    "sources": Index(index_shared.sources, _with_users("source", "sources", "constants")),
    "units": Index(index_shared.units, lambda f: [f.knowledge.units, f.knowledge.plate, f.knowledge.sources]),
    "refusals": Index(index_shared.refusals, lambda f: [f.knowledge.refusals]),
    "stop": Index(index_shared.stop, lambda f: [f.knowledge.emergencies]),
}


class IndexDirective(SphinxDirective):
    """``{listing} tools``"""

    required_arguments = 1
    has_content = False

    def run(self) -> list[nodes.Node]:
        """The list, or an error that names the lists there are."""
        name = self.arguments[0]
        if name not in INDEXES:
            raise self.error(f"there is no index {name!r}: use one of {', '.join(sorted(INDEXES))}")
        found = INDEXES[name].build(facts_of(self.env), self.env)
        for node in found:
            for target in node.findall(lambda n: isinstance(n, nodes.Element) and bool(n.get("ids"))):
                self.state.document.note_explicit_target(target)
        return found
