"""Reading the knowledge many times: a file that has not changed is parsed and held to its schema once."""

from __future__ import annotations

from sparkgap.knowledge import read
from sparkgap.knowledge.yaml_reader import Document

_seen: dict[tuple, _Entry] = {}


class _Entry:
    def __init__(self, document: Document) -> None:
        self.document = document
        self.schema_problems: list | None = None


class _Remembered(Document):
    entry: _Entry


def remember_files() -> None:
    """Make ``sparkgap.knowledge.load`` of this process remember every text that it has read."""
    read_yaml, validate = read.read_yaml, read.validate

    def remembering(text: str, path: str, first_line: int = 1) -> Document:
        key = (path, first_line, text)
        if key not in _seen:
            _seen[key] = _Entry(read_yaml(text, path, first_line))
        known = _seen[key].document
        document = _Remembered(path, known.data, known.places, list(known.problems))
        document.entry = _seen[key]
        return document

    def validating(document: Document, schema: str) -> None:
        entry = document.entry
        if entry.schema_problems is None:
            before = len(document.problems)
            validate(document, schema)
            entry.schema_problems = document.problems[before:]
        else:
            document.problems.extend(entry.schema_problems)

    read.read_yaml, read.validate = remembering, validating
