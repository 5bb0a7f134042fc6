"""Where the numbers of the knowledge stand: each one that a mutation run changes, with its kind and its source.

A number is found by the place of its value in the YAML (:data:`KINDS`), so that numbers in prose stay as they are.
In an expression the bare numbers and the number at the head of ``q("…")`` count; names of units and tables do not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from fractions import Fraction
from pathlib import Path

import yaml
from sparkgap.knowledge.text import split_front_matter

PUBLISHED = ("standard", "handbook", "library", "dataset")
UNSTATED = "unstated"

# file, where in it (* one key or index, ** any number of them), what the number is
KINDS: tuple[tuple[str, str, str], ...] = (
    ("kb/constants.yaml", "*/value", "constant"),
    ("kb/tables/*", "rows/*/*", "table entry"),
    ("kb/calculators/*", "inputs/*/default", "calculator default"),
    ("kb/calculators/*", "inputs/*/low", "calculator range"),
    ("kb/calculators/*", "inputs/*/high", "calculator range"),
    ("kb/calculators/*", "steps/*/expression", "expression"),
    ("kb/calculators/*", "outputs/*/expression", "expression"),
    ("kb/calculators/*", "examples/*/given/*", "example"),
    ("kb/calculators/*", "examples/*/gives/*", "example"),
    ("kb/tools.yaml", "*/low", "tool"),
    ("kb/tools.yaml", "*/high", "tool"),
    ("kb/tools.yaml", "*/resolution", "tool"),
    ("kb/tools.yaml", "*/accuracy/*", "tool"),
    ("kb/access.yaml", "*/open", "minutes"),
    ("kb/access.yaml", "*/close", "minutes"),
    ("kb/parts.yaml", "*/fits/*/price", "price or wait"),
    ("kb/parts.yaml", "*/fits/*/wait", "price or wait"),
    ("kb/plate.yaml", "*/low", "plate"),
    ("kb/plate.yaml", "*/high", "plate"),
    ("kb/units/*", "plate/*", "plate"),
    ("kb/faults/*", "faults/*/shows", "likelihood"),
    ("kb/symptoms/*", "weights/*", "weight"),
    ("kb/symptoms/*", "faults/*", "weight"),
    ("kb/symptoms/*", "also/*/weight", "weight"),
    ("procedures/*", "tolerances/*/low", "tolerance"),
    ("procedures/*", "tolerances/*/high", "tolerance"),
    ("procedures/*", "tolerances/*/variants/*/low", "tolerance"),
    ("procedures/*", "tolerances/*/variants/*/high", "tolerance"),
    ("procedures/*", "checks/*/judge", "expression"),
    ("procedures/*", "checks/*/otherwise/*", "likelihood"),
    ("procedures/*", "checks/*/misses", "likelihood"),
    ("procedures/*", "checks/*/answers/*/likelihood/*", "likelihood"),
    ("procedures/*", "remedies/*/fails", "likelihood"),
    ("procedures/*", "checks/*/minutes", "minutes"),
    ("procedures/*", "checks/*/minutes/*", "minutes"),
    ("procedures/*", "remedies/*/minutes", "minutes"),
    ("procedures/*", "remedies/*/minutes/*", "minutes"),
    ("*", "**/when/**", "condition"),
    ("*", "**/applies_to/**", "condition"),
)
# Whole numbers that count or order and measure nothing; a worked example's own tolerance.
NO_NUMBERS = ("revision", "tier", "digits", "part_count", "schema", "within", "safety", "blocks")
# A calculator's source is that of its formula; what its form starts with and accepts has none.
OWN_SOURCE = ("calculator default", "calculator range")

_NUMBER = r"[-+]?(?:(?:\d+ )?\d+/\d+|(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"
_HEAD = re.compile(rf"""\\?["']?({_NUMBER})(?![\w.])""")
_PART = re.compile(r"""(?P<text>\\?"[^"]*"|'[^']*')|"""
                   r"(?P<number>(?<![\w.])(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?(?![\w.]))")


@dataclass(frozen=True)
class Number:
    """One number: characters start to end of a file, at a place of its data, of a kind, with the source's kind."""

    path: str
    line: int
    column: int
    start: int
    end: int
    written: str
    at: tuple
    kind: str
    source: str = ""
    source_kind: str = UNSTATED

    @property
    def published(self) -> bool:
        """Whether it was published, so that a change must not go unnoticed."""
        return self.source_kind in PUBLISHED

    @property
    def entity(self) -> str:
        """The id that declares it in a file of many (constants, tools), else an empty string."""
        return str(self.at[0]) if self.path.count("/") == 1 and self.path.startswith("kb/") else ""


def numbers_below(root: Path) -> list[Number]:
    """All numbers of the knowledge below root that can be changed by a share of themselves: zeros cannot."""
    sources = yaml.safe_load((root / "kb/sources.yaml").read_text(encoding="utf-8"))
    kinds = {name: source["kind"] for name, source in sources.items()}
    files = [*sorted((root / "kb").rglob("*.yaml")), *sorted((root / "procedures").rglob("*.md"))]
    found: list[Number] = []
    for file in files:
        found += numbers_in(file.read_text(encoding="utf-8"), file.relative_to(root).as_posix(), kinds)
    return found


def numbers_in(text: str, path: str, source_kinds: dict[str, str]) -> list[Number]:
    """The numbers of one file. ``source_kinds`` gives the kind of each source's id."""
    matter, offset = text, 0
    if path.endswith(".md"):
        parts = split_front_matter(text, path)
        if not isinstance(parts, tuple):
            return []
        matter, offset = parts[0], text.index("\n") + 1
    found = []
    for at, node, sources in _scalars(yaml.compose(matter, Loader=yaml.SafeLoader), (), ()):
        kind = kind_of(path, at)
        if not kind:
            continue
        source = _source(kind, at, sources)
        start, end = node.start_mark.index, node.end_mark.index
        for first, last in _spans(matter[start:end], kind):
            a, b = offset + start + first, offset + start + last
            if value_of(text[a:b]):
                line, column = text.count("\n", 0, a) + 1, a - text.rfind("\n", 0, a)
                found.append(Number(path, line, column, a, b, text[a:b], at, kind, source,
                                    source_kinds.get(source, UNSTATED)))
    return found


def unplaced(text: str, path: str) -> list[str]:
    """Where bare numbers stand that no kind covers: a new key of the schema that :data:`KINDS` should know."""
    if path.endswith(".md"):
        parts = split_front_matter(text, path)
        text = parts[0] if isinstance(parts, tuple) else ""
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    return ["/".join(map(str, at)) for at, node, _ in _scalars(root, (), ())
            if node.tag.endswith((":int", ":float")) and at[-1] not in NO_NUMBERS and not kind_of(path, at)]


def kind_of(path: str, at: tuple) -> str:
    """What a number at a place of a file is; empty where nothing is changed."""
    parts = tuple(map(str, at))
    return next((kind for file, where, kind in KINDS if fnmatchcase(path, file) and _fits(parts, where.split("/"))), "")


def changed(text: str, number: Number, factor: float) -> str:
    """The file's text with this one number multiplied."""
    return text[:number.start] + f"{value_of(number.written) * factor:.10g}" + text[number.end:]


def value_of(written: str) -> float:
    """The value of 3, 0.5, 1e-3, 1/8 or 3 1/4, with its sign."""
    sign = -1 if written.startswith("-") else 1
    return float(sign * sum(Fraction(part) for part in written.lstrip("+-").split()))


def _fits(parts: tuple[str, ...], pattern: list[str]) -> bool:
    if not pattern:
        return not parts
    if pattern[0] == "**":
        return any(_fits(parts[n:], pattern[1:]) for n in range(len(parts) + 1))
    return bool(parts) and pattern[0] in ("*", parts[0]) and _fits(parts[1:], pattern[1:])


def _scalars(node: yaml.Node | None, at: tuple, sources: tuple) -> Iterator[tuple[tuple, yaml.Node, tuple]]:
    """Every scalar with its place and the sources stated around it, innermost last: (depth, id)."""
    if isinstance(node, yaml.MappingNode):
        stated = [value.value for key, value in node.value if key.value == "source"]
        inner = (*sources, *((len(at), one) for one in stated))
        for key, value in node.value:
            yield from _scalars(value, (*at, key.value), inner)
    elif isinstance(node, yaml.SequenceNode):
        for index, value in enumerate(node.value):
            yield from _scalars(value, (*at, index), sources)
    elif node is not None:
        yield at, node, sources


def _source(kind: str, at: tuple, sources: tuple) -> str:
    if kind in OWN_SOURCE:
        sources = tuple(one for one in sources if one[0] == len(at) - 1)
    return sources[-1][1] if sources else ""


def _spans(raw: str, kind: str) -> Iterator[tuple[int, int]]:
    """Where numbers begin and end in a scalar as it is written, quotes and all."""
    if kind != "expression":
        match = _HEAD.match(raw)
        if match:
            yield match.span(1)
        return
    quoted = 1 if raw[:1] in "\"'" else 0
    for part in _PART.finditer(raw, quoted, len(raw) - quoted):
        head = part if part["number"] else None
        if part["text"] and raw[:part.start()].rstrip().endswith("q("):
            head = _HEAD.match(raw, part.start())
        if head:
            yield head.span(1 if part["text"] else 0)
