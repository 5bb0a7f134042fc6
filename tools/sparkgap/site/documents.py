"""YAML files as Sphinx documents: the parser asks the knowledge, not the text, and builds the page's nodes.

Also front matter: procedures are read by the loader, so their front matter is taken out before MyST sees it.
"""

from __future__ import annotations

from typing import Any

from docutils import nodes
from sphinx.parsers import Parser
from sphinx.util import logging

from . import words
from .facts import Facts, facts_of
from .page_calculator import calculator_page
from .page_fault import fault_page
from .page_symptom import symptom_page

log = logging.getLogger(__name__)
PAGES = {"symptoms": ("symptom", symptom_page), "calculators": ("calculator", calculator_page),
         "faults": ("fault_page", fault_page)}


class KnowledgeParser(Parser):
    """Parser of ``.yaml`` documents: kb/symptoms/**, kb/calculators/*, kb/faults/*."""

    supported = ("sparkgap",)

    def parse(self, inputstring: str, document: nodes.document) -> None:
        """Build the page of the entity that the file declares."""
        self.setup_parse(inputstring, document)
        env = document.settings.env
        folder, name = env.docname.split("/")[1], env.docname.rsplit("/", 1)[-1]
        facts = facts_of(env)
        kind, build = PAGES[folder]
        entity = facts.entity(kind, name)
        if entity is None:
            log.warning("this file holds no %s that could be read: see the problems", kind, location=env.docname)
            document += nodes.section("", nodes.title(name, name), ids=[name])
        else:
            document += build(facts, env, entity)
        for target in document.findall(lambda n: isinstance(n, nodes.Element) and bool(n.get("ids"))):
            document.note_explicit_target(target)
        self.finish_parse()


def without_front_matter(text: str, title: str) -> str:
    """The body at the lines where it stood, under its title; the front matter has been read by the loader."""
    lines = text.split("\n")
    if lines[0].rstrip() != "---":
        return text
    end = next((n for n, line in enumerate(lines[1:], 1) if line.rstrip() == "---"), 0)
    rest = lines[end + 1:]
    if any(line.startswith("# ") for line in rest):
        return "\n".join([""] * (end + 1) + rest)
    return "\n".join([*[""] * (end - 1), f"# {title}", "", *rest])


def on_source_read(app: Any, docname: str, content: list[str]) -> None:
    """Take the front matter out of procedures and note the procedure in the domain."""
    if not docname.startswith("procedures/"):
        return
    facts, name = facts_of(app.env), docname.rsplit("/", 1)[-1]
    procedure = facts.knowledge.procedures.get(name)
    content[0] = without_front_matter(content[0], procedure.title if procedure else name)
    if procedure is not None:
        app.env.get_domain("rv").note("procedure", name, "", procedure.title)


def procedure_context(facts: Facts, docname: str) -> dict[str, Any] | None:
    """What the template says around a procedure: revision, who, symptoms, for which units."""
    procedure = facts.knowledge.procedures.get(docname.rsplit("/", 1)[-1])
    if procedure is None:
        return None
    gates = [facts.knowledge.gates[g] for g in procedure.safety_gates if g in facts.knowledge.gates]
    return {
        "id": procedure.id, "title": procedure.title, "system": words.system_title(procedure.system),
        "revision": procedure.revision, "reviewed": procedure.reviewed, "summary": procedure.summary,
        "units": words.condition(facts.knowledge, procedure.applies_to),
        "symptoms": [s for s in procedure.symptoms if s in facts.knowledge.symptoms],
        "gates": [(g.id, g.title) for g in gates],
        "tools": [(t, facts.title("tool", t)) for t in procedure.tools],
    }
