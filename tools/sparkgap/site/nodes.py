"""Document nodes for the pages: a plain HTML element, and small builders that keep the page code readable."""

from __future__ import annotations

from typing import Any

from docutils import nodes
from sphinx.addnodes import pending_xref

VOID = {"input", "br", "hr", "wbr"}
INLINE = {"span", "b", "em", "small", "a", "label", "button", "output", "strong", "td", "th", "dt", "summary", "code"}


class tag(nodes.General, nodes.TextElement):  # noqa: N801 - docutils names nodes in lower case
    """One HTML element with attributes. Text and references inside it stay visible to search and resolution."""


def visit_tag(self: Any, node: tag) -> None:
    """Open the element; no attribute here is ever a style or a handler."""
    suffix = "" if node["tag"] in INLINE else "\n"
    self.body.append(self.starttag(node, node["tag"], suffix, empty=node["tag"] in VOID, **node.get("attrs", {})))


def depart_tag(self: Any, node: tag) -> None:
    """Close the element unless it is one of those that have no end."""
    if node["tag"] not in VOID:
        self.body.append(f"</{node['tag']}>" + ("" if node["tag"] in INLINE else "\n"))


def _pass(self: Any, node: tag) -> None:
    """Other builders show what is inside."""


def el(name: str, *children: Any, cls: str = "", ids: list[str] | None = None, **attrs: Any) -> tag:
    """An element: el("p", "Text", cls="why", data_id="x"). Underscores in attribute names become hyphens."""
    node = tag("", tag=name, classes=cls.split(), ids=ids or [])
    node["attrs"] = {key.rstrip("_").replace("_", "-"): value for key, value in attrs.items() if value is not None}
    node.extend(as_nodes(children))
    return node


def as_nodes(children: Any) -> list[nodes.Node]:
    """Flatten children: strings become text, None disappears, lists are spread."""
    found: list[nodes.Node] = []
    for child in children:
        if child is None or child == "":
            continue
        if isinstance(child, str):
            found.append(nodes.Text(child))
        elif isinstance(child, nodes.Node):
            found.append(child)
        else:
            found += as_nodes(child)
    return found


def prose(text: str, cls: str = "") -> list[nodes.Node]:
    """Written prose as paragraphs: a blank line parts them; lines that begin with a hyphen make a list."""
    found: list[nodes.Node] = []
    for block in (b.strip() for b in (text or "").split("\n\n")):
        lines = block.splitlines()
        if lines and all(line.lstrip().startswith("- ") for line in lines):
            found.append(el("ul", [el("li", line.lstrip()[2:]) for line in lines], cls=cls))
        elif block:
            found.append(el("p", " ".join(block.split()), cls=cls))
    return found


def link(env: Any, kind: str, target: str, text: str) -> pending_xref:
    """A reference to one of our things, resolved by the domain when all documents are read."""
    node = pending_xref("", refdomain="rv", reftype=kind, reftarget=target, refexplicit=True, refwarn=True,
                        refdoc=env.docname)
    node += nodes.inline("", text)
    return node


def section(name: str, title: str, *children: Any, ids: list[str] | None = None, cls: str = "") -> nodes.section:
    """A titled section with an anchor of its own."""
    node = nodes.section(ids=[name, *(ids or [])], classes=cls.split())
    node += nodes.title(title, title)
    node.extend(as_nodes(children))
    return node


def listing(items: list[Any], cls: str = "") -> tag | None:
    """An unordered list, or nothing when there is nothing to list."""
    return el("ul", [el("li", item) for item in items], cls=cls) if items else None


def facts_list(*pairs: tuple[str, Any], cls: str = "facts") -> tag | None:
    """Term and value pairs; pairs without a value are left out."""
    rows = [el("div", el("dt", term), el("dd", value)) for term, value in pairs if value not in (None, "", [], ())]
    return el("dl", rows, cls=cls) if rows else None


def data(name: str, payload: str) -> tag:
    """A value carried to the scripts in an attribute of an element that shows nothing."""
    return el("span", cls="sg-data", hidden="hidden", data_name=name, data_json=payload)


def setup_nodes(app: Any) -> None:
    """Register the element with every builder that writes text."""
    skip = (_pass, _pass)
    app.add_node(tag, html=(visit_tag, depart_tag), text=skip, latex=skip, man=skip, texinfo=skip)
