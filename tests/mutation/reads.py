"""What a test reads of the knowledge: the mappings of a Knowledge, made to note each entity that is taken out."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from sparkgap.knowledge import Knowledge

Read = tuple[str, str]  # a file, and the id in it where it declares many (constants, tools)


class _Noting(dict):
    """A dict of entities that notes whose values are looked at."""

    def __init__(self, entities: dict, notes: set[Read]) -> None:
        super().__init__(entities)
        self._notes = notes

    def _note(self, key: Any) -> None:
        if dict.__contains__(self, key):
            self._notes.add(read_of(dict.__getitem__(self, key)))

    def __getitem__(self, key: Any) -> Any:
        self._note(key)
        return dict.__getitem__(self, key)

    def get(self, key: Any, default: Any = None) -> Any:
        self._note(key)
        return dict.get(self, key, default)

    def __iter__(self) -> Iterator[Any]:  # an own __iter__ also makes {**mapping} go through __getitem__
        return dict.__iter__(self)

    def keys(self) -> Any:
        return dict.keys(self)

    def values(self) -> Any:
        for key in dict.__iter__(self):
            self._note(key)
        return dict.values(self)

    def items(self) -> Any:
        self.values()
        return dict.items(self)

    def __or__(self, other: Any) -> dict:
        return {**self, **other}

    def __ror__(self, other: Any) -> dict:
        return {**other, **self}


def read_of(entity: Any) -> Read:
    """The file of an entity, and its id where the file declares many."""
    path = entity.place.path
    return path, entity.id if path.startswith("kb/") and path.count("/") == 1 else ""


def noting(knowledge: Knowledge, notes: set[Read]) -> Knowledge:
    """The same knowledge, noting what is read; what has been gathered from it before is gathered anew."""
    mappings = {field.name: _Noting(value, notes) for field in dataclasses.fields(knowledge)
                if isinstance(value := getattr(knowledge, field.name), dict)
                and value and all(hasattr(entity, "place") for entity in value.values())}
    return dataclasses.replace(knowledge, **mappings)
