"""Changing single values of a YAML file: comments, order, quotes and every other byte stay as they are.

The text is one that the check has found sound; its structure is taken from the marks of the YAML parser, and the
changes are cut into the text itself.
"""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path

import yaml

Key = tuple[str | int, ...]


class EditError(Exception):
    """A change that cannot be made; the message says where and why."""


class Edit:
    """Changes to one YAML text: ``set`` values, ``add`` keys, then take ``text()``."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._root = yaml.compose(text, Loader=yaml.SafeLoader)  # its marks count characters, libyaml's do not
        self._changes: list[tuple[int, int, str]] = []
        self._break = "\r\n" if "\r\n" in text else "\n"

    def has(self, *path: str | int) -> bool:
        """Whether the path leads to a value."""
        try:
            self._node(path)
        except EditError:
            return False
        return True

    def raw(self, *path: str | int) -> str:
        """A scalar as it is written, quotes included."""
        node = self._scalar(path)
        return self._text[node.start_mark.index:node.end_mark.index]

    def set(self, path: Key, value: str) -> None:
        """Write another scalar in a scalar's place, in the quotes that it has."""
        node = self._scalar(path)
        if node.style == '"':
            value = quoted(value)
        elif node.style == "'":
            value = "'" + value.replace("'", "''") + "'"
        self._changes.append((node.start_mark.index, node.end_mark.index, value))

    def add(self, path: Key, key: str, value: str, after: str | None = None) -> None:
        """Add a key to a mapping, at its end or after one of its keys.

        ``value`` is YAML: what stands on the key's line, and lines that begin with their indentation below the key.
        """
        node = self._node(path)
        if not isinstance(node, yaml.MappingNode):
            raise EditError(f"{_dotted(path)}: no mapping")
        values = {name.value: part for name, part in node.value}
        if after is not None and after not in values:
            raise EditError(f"{_dotted((*path, after))}: not there")
        last = values[after] if after is not None else node.value[-1][1] if node.value else None
        if node.flow_style:
            if "\n" in value:
                raise EditError(f"{_dotted(path)}: several lines do not fit between braces")
            at = node.start_mark.index + 1 if last is None else last.end_mark.index
            self._changes.append((at, at, f"{key}: {value}" if last is None else f", {key}: {value}"))
            return
        indent = " " * node.value[0][0].start_mark.column
        first, *more = value.split("\n")
        lines = [f"{key}: {first}" if first else f"{key}:", *more]
        self._lines_after(_end(self._text, last), [indent + line for line in lines])

    def text(self) -> str:
        """The text with all changes."""
        done, at = [], 0
        for start, end, new in sorted(self._changes, key=lambda change: change[:2]):
            if start < at:
                raise EditError("the same value is changed twice")
            done += [self._text[at:start], new]
            at = end
        return "".join([*done, self._text[at:]])

    def _lines_after(self, end: int, lines: list[str]) -> None:
        at = self._text.find("\n", end) + 1
        if at:
            self._changes.append((at, at, "".join(line + self._break for line in lines)))
        else:  # the file ends without a line break
            at = len(self._text)
            self._changes.append((at, at, self._break + self._break.join(lines)))

    def _scalar(self, path: Key) -> yaml.ScalarNode:
        node = self._node(path)
        if not isinstance(node, yaml.ScalarNode) or node.style in ("|", ">"):
            raise EditError(f"{_dotted(path)}: no plain or quoted value")
        return node

    def _node(self, path: Key) -> yaml.Node:
        node = self._root
        for part in path:
            found = None
            if isinstance(node, yaml.MappingNode):
                found = next((value for key, value in node.value if key.value == part), None)
            elif isinstance(node, yaml.SequenceNode) and isinstance(part, int) and 0 <= part < len(node.value):
                found = node.value[part]
            if found is None:
                raise EditError(f"{_dotted(path)}: not there")
            node = found
        return node


def quoted(value: str) -> str:
    """A text in double quotes."""
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def write_files(texts: Mapping[Path, str]) -> None:
    """Write all files or none: each is written beside its place first, then all are put there.

    Raises OSError; the files then hold what they held before.
    """
    before = {path: path.read_bytes() for path in texts}
    ready: dict[Path, Path] = {}
    placed: list[Path] = []
    try:
        for path, text in texts.items():
            ready[path] = _beside(path, text.encode("utf-8"))
        for path, new in ready.items():
            os.replace(new, path)
            placed.append(path)
    except BaseException:
        for path in placed:
            os.replace(_beside(path, before[path]), path)
        for path, new in ready.items():
            if path not in placed:
                new.unlink(missing_ok=True)
        raise


def _beside(path: Path, data: bytes) -> Path:
    """A complete new file in the folder of another, with its permissions; removed again if that fails."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".new", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(stat.S_IMODE(path.stat().st_mode))
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _end(text: str, node: yaml.Node) -> int:
    """Where the last sign of a value stands; the parser's mark of a block lies at what follows it."""
    while not isinstance(node, yaml.ScalarNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(node, yaml.MappingNode) else last
    return len(text[:node.end_mark.index].rstrip())


def _dotted(path: Key) -> str:
    return ".".join(map(str, path)) or "the document"
