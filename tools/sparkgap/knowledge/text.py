"""The text of a procedure: front matter, and where directives place the declared items."""

from __future__ import annotations

import re

from ..problems import Place, Problem
from .acts import Placement

PLACED = ("gate", "check", "remedy", "tolerance", "calculator")
# Directives whose content is shown as it stands; the content of all others is Markdown again.
LITERAL = frozenset("code code-block sourcecode literalinclude parsed-literal raw math eval-rst".split())
# Boxes, code and tables. What brings in other files or HTML, such as include and raw, is not among them.
ALLOWED = frozenset((*PLACED, *"""note tip hint important warning caution attention danger error admonition seealso
                     rubric code code-block list-table""".split()))
_OPENING = re.compile(r"^(?P<indent> *)(?P<fence>`{3,}|:{3,}|~{3,})(?P<info>.*)$")
_ITEM = re.compile(r"^(?P<marker> *(?:[-*+]|\d{1,9}[.)]) {1,4})(?=\S)")
_NAMED = re.compile(r"^\s*\{(?P<name>[^}]*)\}")
_DIRECTIVE = re.compile(r"^\{(?P<name>[a-z:-]+)\}\s*+(?P<argument>\S*+)\s*+$")  # no way back: a long line costs once
DEEPEST = 12  # fences around each other


def split_front_matter(text: str, path: str) -> tuple[str, str, int] | Problem:
    """The YAML, the body and the line at which the body starts, or the problem that there is no front matter."""
    lines = text.split("\n")
    if lines[0].rstrip() == "---":
        for number, line in enumerate(lines[1:], 1):
            if line.rstrip() == "---":
                return "\n".join(lines[1:number]), "\n".join(lines[number + 1:]), number + 2
    return Problem(path, 1, 1, "front-matter-missing", "a procedure starts with front matter between two lines of ---",
                   "see DEVELOPERS.md, or start with: sparkgap new procedure ID")


def placements(body: str, path: str, first_line: int, problems: list[Problem] | None = None) -> list[Placement]:
    """What the directives of a text place, in order. What stands in a code block does not count.

    Fences that nest too deep become a problem, and what stands in them is not looked at.
    """
    scan = _Scan(path, [] if problems is None else problems)
    scan.lines(body.split("\n"), first_line, 0, 1)
    return scan.found


class _Scan:
    def __init__(self, path: str, problems: list[Problem]) -> None:
        self.path = path
        self.problems = problems
        self.found: list[Placement] = []

    def lines(self, lines: list[str], first_line: int, moved: int, depth: int) -> None:
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
            self._fence(lines[at + 1:end], opening, Place(self.path, first_line + at, moved), depth)
            at = end + 1

    def _fence(self, inside: list[str], opening: re.Match[str], place: Place, depth: int) -> None:
        """Note what a fence places, and look into it. The place has the columns that its lines are moved by."""
        directive = _DIRECTIVE.match(opening["info"].strip())
        name = directive["name"].removeprefix("rv:") if directive else ""
        indent = len(opening["indent"])
        here = Place(place.path, place.line, place.column + indent + 1)
        if name in PLACED:
            self.found.append(Placement(name, directive["argument"], here))
        self._known(opening, here)
        if not _holds_markdown(opening, name):
            return
        if depth == DEEPEST:
            self.problems.append(Problem.at(here, "text-nested", f"directives nest deeper than {DEEPEST} levels",
                                            "close this one and those around it before the next"))
            return
        self.lines([_dedent(one, indent) for one in inside], place.line + 1, place.column + indent, depth + 1)


    def _known(self, opening: re.Match[str], here: Place) -> None:
        named = _NAMED.match(opening["info"])
        if named and named["name"].removeprefix("rv:") not in ALLOWED:
            self.problems.append(Problem.at(
                here, "directive-unknown", f"the directive {named['name']!r} is not used in procedures",
                "place a declared item, or use one of " + ", ".join(sorted(ALLOWED - set(PLACED)))))


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
