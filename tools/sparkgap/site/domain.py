"""The domain ``rv``: a role for every kind of thing, and entries in objects.inv so that other sites can link in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from docutils import nodes
from sphinx.domains import Domain, ObjType
from sphinx.roles import XRefRole
from sphinx.util import logging
from sphinx.util.nodes import make_refnode

from . import directives

log = logging.getLogger(__name__)

KINDS = ("symptom", "fault", "check", "procedure", "remedy", "tolerance", "calculator", "tool", "part", "gate",
         "source", "unit")
LOCAL = {"check", "remedy", "tolerance"}
DUPLICATE = "%s %r is described in %s and in %s: keep one of them"


class RvDomain(Domain):
    """Symptoms, faults, checks and the rest. Data is kept by document, so clearing and merging are one line."""

    name = "rv"
    label = "Sparkgap"
    object_types = {kind: ObjType(kind, kind) for kind in KINDS}
    roles = {kind: XRefRole(innernodeclass=nodes.inline, warn_dangling=True) for kind in KINDS}
    directives = directives.DIRECTIVES
    dangling_warnings = {kind: f"no {kind} is called %(target)r" for kind in KINDS}
    initial_data: dict[str, Any] = {"documents": {}}
    data_version = 1

    def __init__(self, env: Any) -> None:
        super().__init__(env)
        self._found: dict[tuple[str, str], tuple[str, str, str]] | None = None

    @property
    def documents(self) -> dict[str, dict[tuple[str, str], tuple[str, str]]]:
        """(kind, id) -> (anchor, title) for each document."""
        return self.data["documents"]

    def note(self, kind: str, name: str, anchor: str, title: str) -> None:
        """Say, while a document is being read, that it describes a thing."""
        self.documents.setdefault(self.env.docname, {})[kind, name] = (anchor, title)
        self._found = None

    def clear_doc(self, docname: str) -> None:
        """Forget what a document described."""
        self.documents.pop(docname, None)
        self._found = None

    def merge_domaindata(self, docnames: Any, otherdata: dict[str, Any]) -> None:
        """Take over what another process read."""
        self.documents.update({name: held for name, held in otherdata["documents"].items() if name in docnames})
        self._found = None

    def find(self, kind: str, name: str) -> tuple[str, str, str] | None:
        """Document, anchor and title of a thing."""
        if self._found is None:
            self._found = {key: (docname, *held) for docname in sorted(self.documents)
                           for key, held in self.documents[docname].items()}
        return self._found.get((kind, name))

    def resolve_xref(self, env: Any, fromdocname: str, builder: Any, typ: str, target: str, node: Any,
                     contnode: nodes.Element) -> nodes.Element | None:
        """Link to a thing; inside a procedure its own checks, remedies and tolerances need no prefix."""
        found = self.find(typ, target)
        if found is None and typ in LOCAL and "/" not in target:
            found = self.find(typ, f"{fromdocname.rsplit('/', 1)[-1]}/{target}")
        if found is None:
            return None
        docname, anchor, title = found
        if not node.get("refexplicit"):
            contnode = nodes.inline("", title)
        return make_refnode(builder, fromdocname, docname, anchor, contnode)

    def resolve_any_xref(self, env: Any, fromdocname: str, builder: Any, target: str, node: Any,
                         contnode: nodes.Element) -> list[tuple[str, nodes.Element]]:
        """Every kind of thing that has this id."""
        found = [(kind, self.resolve_xref(env, fromdocname, builder, kind, target, node, contnode)) for kind in KINDS]
        return [(f"rv:{kind}", reference) for kind, reference in found if reference is not None]

    def get_objects(self) -> Iterator[tuple[str, str, str, str, str, int]]:
        """Everything described, for objects.inv and the search index."""
        for docname in sorted(self.documents):
            for (kind, name), (anchor, title) in sorted(self.documents[docname].items()):
                yield name, title, kind, docname, anchor, 1

    def check_consistency(self) -> None:
        """One thing, one place: looked at after merging, or a parallel build would miss it."""
        seen: dict[tuple[str, str], str] = {}
        for docname in sorted(self.documents):
            for key in sorted(self.documents[docname]):
                if key in seen:
                    log.warning(DUPLICATE, *key, seen[key], docname, location=docname)
                seen.setdefault(key, docname)
