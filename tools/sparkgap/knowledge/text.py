"""The text of a procedure: front matter, and where directives place the declared items."""

from __future__ import annotations

import re

from ..problems import Place, Problem
from .acts import Placement

PLACED = ("gate", "check", "remedy", "tolerance", "calculator")
_OPENING = re.compile(r"^(?P<indent> {0,3})(?P<fence>`{3,}|:{3,}|~{3,})(?P<info>.*)$")
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
    """What the directives of a text place, in order. What stands in a literal code block does not count."""
    found: list[Placement] = []
    open_fences: list[tuple[str, bool]] = []  # each open fence, and whether its content is literal
    for number, line in enumerate(body.split("\n")):
        match = _OPENING.match(line)
        if not match:
            continue
        fence, info = match["fence"], match["info"].strip()
        if open_fences and not info and fence.startswith(open_fences[-1][0]):
            open_fences.pop()
            continue
        if open_fences and open_fences[-1][1]:
            continue
        directive = _DIRECTIVE.match(info)
        open_fences.append((fence, not info.startswith("{") and not fence.startswith(":")))
        name = directive["name"].removeprefix("rv:") if directive else ""
        if name in PLACED:
            place = Place(path, first_line + number, len(match["indent"]) + 1)
            found.append(Placement(name, directive["argument"], place))
    return found
