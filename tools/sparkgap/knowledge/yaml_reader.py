"""YAML with line numbers, strict where YAML surprises.

:func:`read_yaml` gives plain data, the place of every key and value, and all problems at once. Refused are
duplicate keys, anchors, aliases and tags, missing values, and plain (unquoted) scalars that YAML reads as
something that the author may not have meant: dates, yes/no/on/off, sexagesimal numbers, leading zeros.
Unquoted text comes as :class:`Plain`, so that the schema can ask for quotes around prose.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Any

import yaml

from ..problems import ODD, Place, Problem

try:
    _BASE = yaml.CSafeLoader
except AttributeError:  # a PyYAML without libyaml is slower, not different
    _BASE = yaml.SafeLoader

MAX_DEPTH = 40
MAX_VALUES = 20_000
MAX_PROBLEMS = 100
_INTEGER = re.compile(r"[-+]?(0|[1-9][0-9]*)")
_REAL = re.compile(r"[-+]?([0-9]+\.[0-9]*|\.[0-9]+|[0-9]+)([eE][-+]?[0-9]+)?")
_DATE = re.compile(r"\d{4}-\d{1,2}-\d{1,2}([Tt ].*)?")
_SEXAGESIMAL = re.compile(r"[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9]*)?")
_WORDS = {"yes", "no", "on", "off", "y", "n"}
_KEY_WORDS = _WORDS | {"true", "false", "null", "~", "<<"}
# A block this deep begins a line with so many signs: the nearest that a look at the text can say.
_DEEP = re.compile(rf"^[-?: ]{{{MAX_DEPTH - 4}}}", re.MULTILINE)
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # as YAML counts lines
_TAGS = {"ScalarNode": "str", "SequenceNode": "seq", "MappingNode": "map"}


class Plain(str):
    """Text that stands in the YAML without quotes."""


@dataclass
class Document:
    """One YAML document: its data, where each part is written, and what is wrong with it."""

    path: str
    data: Any = None
    places: dict[tuple, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    refused: set[tuple] = field(default_factory=set)
    """Values that the reader has refused: whatever else is wrong with them follows from that."""

    def at(self, path: tuple) -> Place:
        """The place of a part, or of the nearest known part above it."""
        while path:
            if path in self.places:
                return self.places[path]
            path = path[:-1]
        return self.places.get((), Place(self.path))


def read_yaml(text: str, path: str, first_line: int = 1) -> Document:
    """Read one YAML document; first_line is the line of the file at which the text starts."""
    document = Document(path)
    document.places[()] = Place(path, first_line, 1)
    _Builder(document, first_line).run(text)
    return document


class _Refused(Exception):
    """The document is not composed; the problem is recorded."""


class _Builder:
    def __init__(self, document: Document, first_line: int) -> None:
        self.document = document
        self.offset = first_line - 1

    def run(self, text: str) -> None:
        try:
            root = self._compose(text)
        except yaml.YAMLError as error:
            self._syntax(error, text)
            return
        except _Refused:
            return
        except UnicodeEncodeError as error:
            self._half(text, error.start)
            return
        if root is None:
            self._problem(None, "yaml-null", "the document is empty", "write the keys that the schema asks for")
            return
        try:
            self.document.data = self._value(root, ())
        except _Refused:
            return

    def _compose(self, text: str) -> yaml.Node | None:
        self._look_first(text)
        return yaml.compose(text, Loader=_BASE)

    def _look_first(self, text: str) -> None:
        """Look at the events where aliases, deep nesting or very many values could hurt: composing is recursive."""
        deep = text.count("[") + text.count("{") > MAX_DEPTH or _DEEP.search(text)
        if not (deep or "&" in text or "*" in text or len(text) > MAX_VALUES):
            return
        depth = values = 0
        for event in yaml.parse(text, Loader=_BASE):
            if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
                self._problem(event, "yaml-alias", "anchors and aliases are not used here", "write the value out")
                raise _Refused
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > MAX_DEPTH:
                self._problem(event, "yaml-syntax", f"nested deeper than {MAX_DEPTH} levels", "flatten it")
                raise _Refused
            values += isinstance(event, yaml.NodeEvent)
            if values > MAX_VALUES:
                self._problem(event, "yaml-syntax", f"more than {MAX_VALUES:,} keys and values", "split the file")
                raise _Refused

    def _half(self, text: str, at: int) -> None:
        """A half of a character cannot be read; no file has one, as it would be no UTF-8."""
        line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
        self.document.problems.append(Problem(
            self.document.path, self.offset + line, column, "yaml-syntax",
            f"half a character, U+{ord(text[at]):04X}, stands here", "take it out"))

    def _syntax(self, error: yaml.YAMLError, text: str) -> None:
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        what = getattr(error, "problem", None) or str(error).splitlines()[0]
        place = Place(self.document.path, self.offset + 1, 1)
        if mark is not None:
            lines = _BREAK.split(text)
            at = (mark.line, mark.column) if mark.line < len(lines) else (len(lines) - 1, len(lines[-1]))  # at the end
            place = Place(self.document.path, self.offset + at[0] + 1, at[1] + 1)
        began = getattr(error, "context_mark", None)
        if began is not None and (error.context or "").startswith(("while parsing", "while scanning a quoted")):
            what = f"{what} {error.context} that began on line {self.offset + began.line + 1}"
        fix = "check indentation, quotes and colons on this line and the one before"
        self.document.problems.append(Problem.at(place, "yaml-syntax", f"not valid YAML: {what}", fix))

    def _place(self, node: Any) -> Place:
        if node is None:
            return self.document.places[()]
        return Place(self.document.path, self.offset + node.start_mark.line + 1, node.start_mark.column + 1)

    def _problem(self, node: Any, code: str, message: str, fix: str) -> None:
        self.document.problems.append(Problem.at(self._place(node), code, message, fix))
        if full(self.document):
            raise _Refused

    def _value(self, node: yaml.Node, path: tuple) -> Any:
        self.document.places.setdefault(path, self._place(node))
        tag = f"tag:yaml.org,2002:{_TAGS[type(node).__name__]}"
        if node.tag != tag and not (isinstance(node, yaml.ScalarNode) and not node.style and _implied(node.tag)):
            written = node.tag.replace("tag:yaml.org,2002:", "!!")
            self._problem(node, "yaml-syntax", f"the tag {written} is not used here",
                          "take it out; quotes make text, no quotes a number")
            return node.value if isinstance(node, yaml.ScalarNode) else None
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self._value(item, (*path, index)) for index, item in enumerate(node.value)]
        before = len(self.document.problems)
        value = self._scalar(node, path)
        if len(self.document.problems) > before:
            self.document.refused.add(path)
        return value

    def _mapping(self, node: yaml.MappingNode, path: tuple) -> dict:
        result: dict[str, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self._problem(key_node, "yaml-syntax", "a key must be a plain word", "write the key as text")
                continue
            key = key_node.value
            self._odd(key_node, key.replace("\n", "\0").replace("\t", "\0"))
            if key in result:
                first = self.document.places[(*path, key)].line
                self._problem(key_node, "yaml-duplicate-key", f"key {key!r} stands twice, first on line {first}",
                              "keep one of the two")
                continue
            if not key_node.style and key.lower() in _KEY_WORDS:
                self._problem(key_node, "yaml-ambiguous", f"YAML reads the key {key} as something else",
                              f'quote it: "{key}"')
            self.document.places[(*path, key)] = self._place(key_node)
            result[key] = self._value(value_node, (*path, key))
        return result

    def _scalar(self, node: yaml.ScalarNode, path: tuple) -> Any:
        text = node.value
        if node.style:  # libyaml marks plain scalars by an empty style, the Python loader by None
            self._odd(node, text)
            return text
        if node.tag in ("tag:yaml.org,2002:null",) or text == "":
            self._problem(node, "yaml-null", f"{_dotted(path)} has no value", "write a value or take the key out")
            return None
        if text.lower() in _WORDS or text == "=" or _DATE.fullmatch(text) or _SEXAGESIMAL.fullmatch(text):
            self._problem(node, "yaml-ambiguous", f"YAML reads {text} as something else", f'quote it: "{text}"')
            return text
        if text in ("true", "false"):
            return text == "true"
        return self._number_or_text(node, text)

    def _odd(self, node: yaml.ScalarNode, text: str) -> None:
        """Refuse what an escape in double quotes has brought in and what could not be typed into the file."""
        if ODD.search(text):
            self._problem(node, "yaml-syntax", "an escape here makes an invisible character",
                          "write the text as it is to be read")

    def _number_or_text(self, node: yaml.ScalarNode, text: str) -> Any:
        if len(text) > 30 and _REAL.fullmatch(text):
            self._problem(node, "yaml-ambiguous", "a number of more than 30 characters", "round it")
            return 0
        if _INTEGER.fullmatch(text):
            return int(text)
        if node.tag.endswith((":int", ":float", ":bool", ":timestamp")) and not _REAL.fullmatch(text):
            self._problem(node, "yaml-ambiguous", f"YAML reads {text} as something else", f'quote it: "{text}"')
            return text
        if _REAL.fullmatch(text):
            if re.match(r"[-+]?0[0-9]", text):
                self._problem(node, "yaml-ambiguous", f"the number {text} starts with a zero",
                              f'write it without the zero, or quote it: "{text}"')
                return text
            return self._real(node, text)
        return Plain(text)

    def _real(self, node: yaml.ScalarNode, text: str) -> float:
        value = float(text)
        if math.isinf(value):
            self._problem(node, "yaml-ambiguous", f"the number {text} is too large",
                          "write a number that can be measured")
            return 0.0
        return value


def full(document: Document) -> bool:
    """Whether so many problems are listed that no more are looked for; the last one then says so."""
    if len(document.problems) < MAX_PROBLEMS:
        return False
    last = document.problems[-1]
    document.problems.append(Problem(last.path, last.line, last.column, last.code,
                                     f"and more: the first {MAX_PROBLEMS} problems of the file are listed",
                                     "mend these first"))
    return True


def _implied(tag: str) -> bool:
    """Whether a plain scalar may have this tag without one being written."""
    return tag.startswith("tag:yaml.org,2002:") and not tag.endswith(":binary")


def _dotted(path: tuple) -> str:
    return ".".join(str(part) for part in path) or "the document"
