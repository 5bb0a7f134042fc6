"""The text of a procedure: front matter, and where directives place the declared items."""

from __future__ import annotations

import re

from ..problems import Place, Problem
from .acts import Placement

PLACED = ("gate", "check", "remedy", "tolerance", "calculator")
# Directives whose content is shown as it stands; the content of all others is Markdown again.
LITERAL = frozenset("code code-block sourcecode literalinclude parsed-literal raw math eval-rst".split())
_OPENING = re.compile(r"^(?P<indent> *)(?P<fence>`{3,}|:{3,}|~{3,})(?P<info>.*)$")
_ITEM = re.compile(r"^(?P<marker> *(?:[-*+]|\d{1,9}[.)]) {1,4})(?=\S)")
_DIRECTIVE = re.compile(r"^\{(?P<name>[a-z:-]+)\}\s*(?P<argument>\S*)\s*$")


def split_front_matter(text: str, path: str) -> tuple[str, str, int] | Problem:
    """The YAML, the body and the line at which the body starts, or the problem that there is no front matter."""
    lines = text.split("\n")
    if lines[0].rstrip() == "---":
        for number, line in enumerate(lines[1:], 1):
            if line.rstrip() == "---":
                return "\n".join(lines[1:number]), "\n".join(lines[number + 1:]), number + 2
    return Problem(path, 1, 1, "front-matter-missing", "a procedure starts with front matter between two lines of ---",
                   "see DEVELOPERS.md, or start with: sparkgap new procedure ID")


def placements(body: str, path: str, first_line: int) -> list[Placement]:
    """What the directives of a text place, in order. What stands in a code block does not count."""
    found: list[Placement] = []
    _scan(body.split("\n"), path, first_line, 0, found)
    return found


def _scan(lines: list[str], path: str, first_line: int, moved: int, found: list[Placement]) -> None:
    """Walk over lines that stand ``moved`` columns to the right; the content of a fence is scanned by itself."""
    item = at = 0  # item: the column at which the text of the list item around us begins
    while at < len(lines):
        line = lines[at]
        marked = _ITEM.match(line)
        if marked:
            item = len(marked["marker"])
        elif line.strip() and len(line) - len(line.lstrip(" ")) < item:
            item = 0
        opening = _opening(line, item)
        if opening is None:
            at += 1
            continue
        end = _end(lines, at, opening)
        directive = _DIRECTIVE.match(opening["info"].strip())
        name = directive["name"].removeprefix("rv:") if directive else ""
        indent = len(opening["indent"])
        if name in PLACED:
            place = Place(path, first_line + at, moved + indent + 1)
            found.append(Placement(name, directive["argument"], place))
        if _holds_markdown(opening, name):
            inside = [_dedent(one, indent) for one in lines[at + 1:end]]
            _scan(inside, path, first_line + at + 1, moved + indent, found)
        at = end + 1


def _opening(line: str, item: int) -> re.Match[str] | None:
    """The fence that a line opens; indented by four or more columns it is code."""
    opening = _OPENING.match(line)
    if opening is None or ("`" in opening["info"] and opening["fence"][0] == "`"):
        return None
    return opening if len(opening["indent"]) < item + 4 else None


def _end(lines: list[str], at: int, opening: re.Match[str]) -> int:
    """The line that closes a fence: the same sign, at least as often, nothing after it; or the end of the lines."""
    fence, indent = opening["fence"], len(opening["indent"])
    for number in range(at + 1, len(lines)):
        closing = lines[number].strip()
        if (closing.startswith(fence) and not closing.strip(fence[0])
                and len(lines[number]) - len(lines[number].lstrip(" ")) < indent + 4):
            return number
    return len(lines)


def _holds_markdown(opening: re.Match[str], name: str) -> bool:
    braced = opening["info"].lstrip().startswith("{")
    return name not in LITERAL if braced else opening["fence"][0] == ":"


def _dedent(line: str, indent: int) -> str:
    return line[min(indent, len(line) - len(line.lstrip(" "))):]
