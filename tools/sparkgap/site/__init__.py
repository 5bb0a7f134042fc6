"""The site as a Sphinx extension: domain, YAML documents, directives, indexes, assets."""

from __future__ import annotations

from typing import Any

from sphinx.errors import SphinxError
from sphinx.util import logging

from . import assets, documents, incremental, pages
from .domain import RvDomain
from .facts import hold
from .indexes import IndexDirective
from .nodes import setup_nodes

__all__ = ["setup"]
log = logging.getLogger(__name__)


class KnowledgeError(SphinxError):
    """The knowledge has problems; they have been reported one by one."""

    category = "Knowledge"


def on_inited(app: Any) -> None:
    """Load the knowledge once. Everything wrong with it is reported, and then nothing is built: no page may come
    from knowledge that is known to be unsound, and a site that stands already stays as it is."""
    facts = hold(app.srcdir, app.doctreedir)
    for problem in facts.knowledge.problems:
        fix = f" ({problem.fix})" if problem.fix else ""
        log.warning("%s: %s%s", problem.code, problem.message, fix,
                    location=f"{app.srcdir / problem.path}:{problem.line}")
    if facts.knowledge.problems:
        raise KnowledgeError(f"{len(facts.knowledge.problems)} problems in the knowledge: mend them, nothing was built")
    app.env.settings.update(raw_enabled=False, file_insertion_enabled=False)
    assets.write(app, facts)


def setup(app: Any) -> dict[str, Any]:
    """Register everything; called by Sphinx."""
    setup_nodes(app)
    app.add_source_suffix(".yaml", "sparkgap")
    app.add_source_parser(documents.KnowledgeParser)
    app.add_domain(RvDomain)
    app.add_directive("listing", IndexDirective)
    app.connect("builder-inited", on_inited)
    app.connect("source-read", documents.on_source_read)
    app.connect("env-get-outdated", incremental.on_outdated)
    app.connect("env-purge-doc", incremental.on_purge)
    app.connect("env-merge-info", incremental.on_merge)
    app.connect("doctree-read", incremental.on_read)
    app.connect("html-page-context", pages.on_page)
    app.connect("build-finished", incremental.on_finished)
    return {"version": "1", "env_version": 1, "parallel_read_safe": True, "parallel_write_safe": True}
