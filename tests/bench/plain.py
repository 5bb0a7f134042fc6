"""The pages of the site as plain Markdown with the same text, for a Sphinx that knows nothing of Sparkgap.

They are written from the resolved documents of a finished build, so that they say what our pages say whatever those
come to say. Procedures keep their front matter. Scripts, forms' fields and the card stay behind: they are ours.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from docutils import nodes
from sphinx import addnodes
from sphinx.application import Sphinx

CONF = """extensions = ["myst_parser"]
root_doc = "kb/index"
smartquotes = False
html_theme = "basic"
html_copy_source = False
html_show_sourcelink = False
html_permalinks = False
html_use_index = False
html_domain_indices = False
html_show_search_summary = False
suppress_warnings = ["myst", "toc", "docutils"]
"""
INLINE = frozenset("span b em small a label button output strong abbr code summary i kbd sup sub time".split())
SILENT = frozenset("input select option script template".split())
_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~$])")


def write_plain(app: Sphinx, target: Path, front_matter: bool = True) -> int:
    """Write every document of a finished build as Markdown, and a conf.py. Returns the number of pages."""
    for docname in sorted(app.env.found_docs):
        writer = _Writer(app, docname)
        tree = app.env.get_and_resolve_doctree(docname, app.builder)
        parts = [_front_matter(app, docname) if front_matter else "", *writer.blocks(tree, 0), *_toctrees(app, docname)]
        file = target / f"{docname}.md"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("\n\n".join(filter(None, parts)) + "\n", encoding="utf-8")
    (target / "conf.py").write_text(CONF, encoding="utf-8")
    return len(app.env.found_docs)


def _front_matter(app: Sphinx, docname: str) -> str:
    if not docname.startswith("procedures/"):
        return ""
    text = Path(app.env.doc2path(docname)).read_text(encoding="utf-8")
    return "---" + text.split("\n---\n", 1)[0].removeprefix("---") + "\n---"


def _toctrees(app: Sphinx, docname: str) -> Iterable[str]:
    for tree in app.env.get_doctree(docname).findall(addnodes.toctree):
        lines = [f":maxdepth: {tree['maxdepth']}"] if tree.get("maxdepth", -1) > 0 else []
        lines += [":hidden:"] if tree.get("hidden") else []
        yield "\n".join(["```{toctree}", *lines, "", *(f"/{target}" for _, target in tree["entries"]), "```"])


class _Writer:
    """Markdown of one document. Blocks are separated by blank lines; runs of inline nodes make a paragraph."""

    def __init__(self, app: Sphinx, docname: str) -> None:
        self.app, self.docname = app, docname

    def blocks(self, node: Any, level: int) -> list[str]:
        """The blocks inside a node."""
        found: list[str] = []
        run: list[str] = []
        for child in node.children:
            if self._inline(child):
                run.append(self.inline(child))
                continue
            found += [_paragraph(run), *self.block(child, level)]
            run = []
        return [one for one in [*found, _paragraph(run)] if one]

    def block(self, node: Any, level: int) -> list[str]:
        """One node that is a block of its own."""
        name = _name(node)
        if name in SILENT or isinstance(node, nodes.comment | addnodes.toctree | nodes.Invisible):
            return []
        if isinstance(node, nodes.section):
            return self.blocks(node, level + 1)
        if isinstance(node, nodes.title):
            return [f"{'#' * max(1, min(6, level))} {self._text(node)}"]
        if re.fullmatch("h[1-6]", name):
            return [f"**{self._text(node)}**"] if self._text(node) else []
        if name in ("p", "dt", "caption", "legend", "figcaption") or isinstance(node, nodes.paragraph):
            return [self._text(node)]
        if isinstance(node, nodes.literal_block):
            return [f"```\n{node.astext()}\n```"]
        if name == "tr" or isinstance(node, nodes.row):
            return ["- " + "; ".join(filter(None, (self._text(cell) for cell in node.children)))]
        if name == "table" or isinstance(node, nodes.table):
            return self._table(node)
        if name == "li" or isinstance(node, nodes.list_item):
            return [_item(self.blocks(node, level))]
        if name in ("ul", "ol") or isinstance(node, nodes.bullet_list | nodes.enumerated_list):
            return ["\n".join(self.blocks(node, level))]
        return self.blocks(node, level)

    def _table(self, table: Any) -> list[str]:
        """A pipe table; its first row is the head."""
        rows = [[self._text(cell) for cell in row.children]
                for row in table.findall(lambda n: _name(n) == "tr" or isinstance(n, nodes.row))]
        width = max((len(row) for row in rows), default=0)
        if not width:
            return []
        lines = ["| " + " | ".join([*row, *[""] * (width - len(row))]) + " |" for row in rows]
        return ["\n".join([lines[0], "|" + " --- |" * width, *lines[1:]])]

    def _inline(self, node: Any) -> bool:
        """Whether a node flows with the text around it: nothing inside it is a block."""
        if isinstance(node, nodes.Text):
            return True
        own = _name(node) in INLINE if _name(node) else isinstance(node, nodes.Inline)
        return own and all(self._inline(child) for child in node.children)

    def _text(self, node: Any) -> str:
        return " ".join("".join(self.inline(child) for child in node.children).split())

    def inline(self, node: Any) -> str:
        """Text with emphasis, code and links."""
        if isinstance(node, nodes.Text):
            return _SPECIAL.sub(r"\\\1", node.astext())
        if _name(node) in SILENT:
            return ""
        if isinstance(node, nodes.literal) or _name(node) == "code":
            return f"`{node.astext()}`" if node.astext() else ""
        inner = "".join(self.inline(child) for child in node.children)
        if isinstance(node, nodes.reference):
            return self._link(node, inner)
        mark = "**" if isinstance(node, nodes.strong) or _name(node) in ("b", "strong") else (
            "*" if isinstance(node, nodes.emphasis) or _name(node) == "em" else "")
        space = " " if _name(node) and _name(node) not in INLINE else ""
        return f"{mark}{inner}{mark}{space}" if inner.strip() == inner and inner else inner + space

    def _link(self, node: Any, inner: str) -> str:
        path = node.get("refuri", "").split("#")[0]
        here = self.app.builder.get_target_uri(self.docname)
        target = posixpath.normpath(posixpath.join(posixpath.dirname(here), path)) if path else here
        known = target.removesuffix(".html")
        return f"[{inner.strip()}](/{known}.md)" if known in self.app.env.found_docs and inner.strip() else inner


def _name(node: Any) -> str:
    """The name of the HTML element that one of our nodes stands for; empty for docutils' own."""
    return node.get("tag", "") if isinstance(node, nodes.Element) else ""


def _paragraph(run: list[str]) -> str:
    return " ".join("".join(run).split())


def _item(blocks: list[str]) -> str:
    return "- " + "\n\n".join(blocks).replace("\n", "\n  ") if blocks else ""
