"""Read a page as a browser would: its elements, addresses and anchors."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path


@dataclass
class Page(HTMLParser):
    """The elements of one page in order: (tag, attributes), and the text of its scripts and visible parts."""

    elements: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    scripts: list[tuple[dict[str, str], str]] = field(default_factory=list)
    text: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        HTMLParser.__init__(self, convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep an element."""
        found = {name: value or "" for name, value in attrs}
        self.elements.append((tag, found))
        if tag == "script":
            self.scripts.append((found, ""))

    def handle_data(self, data: str) -> None:
        """Keep text, that of scripts apart."""
        if self.elements and self.elements[-1][0] == "script" and data.strip():
            attributes, before = self.scripts[-1]
            self.scripts[-1] = (attributes, before + data)
        else:
            self.text.append(data)

    @property
    def ids(self) -> list[str]:
        """All anchors, as often as they stand."""
        return [attributes["id"] for _, attributes in self.elements if "id" in attributes]

    def addresses(self) -> list[str]:
        """Where the page links to or loads from."""
        return [attributes[name] for _, attributes in self.elements for name in ("href", "src") if name in attributes]


def read_page(path: Path) -> Page:
    """Parse one built page."""
    page = Page()
    page.feed(path.read_text(encoding="utf-8"))
    return page
