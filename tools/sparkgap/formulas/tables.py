"""Tables as formulas read them: keys in order, columns beside them, everything in SI."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sparkgap.dimensions import TEXT, Dimension
from sparkgap.kinds import dimension_of

from .errors import FormulaError

NEAR = 1e-9  # relative; two keys nearer than this are the same row


@dataclass(frozen=True)
class TableData:
    """The numbers of a table and what its columns measure."""

    id: str
    key: Dimension
    dimensions: dict[str, Dimension]
    keys: tuple[float | str, ...]
    columns: dict[str, tuple[float, ...]]

    @property
    def rising(self) -> bool:
        """Whether the keys rise strictly, as interpolation needs."""
        return len(self.keys) > 1 and all(a < b for a, b in zip(self.keys, self.keys[1:], strict=False))

    def as_json(self) -> dict:
        """What the browser needs."""
        columns = {name: list(values) for name, values in self.columns.items()}
        return {"keys": list(self.keys), "columns": columns}


def table_data(id: str, table: Any) -> TableData:
    """From a table with ``key`` (name, quantity), ``columns`` (name -> quantity), ``rows`` (SI, key first).

    Raises FormulaError when a row does not have a finite number for every column.
    """
    if isinstance(table, TableData):
        return table
    key = dimension_of(table.key[1])
    dimensions = {name: dimension_of(quantity) for name, quantity in table.columns.items()}
    for place, row in enumerate(table.rows, start=1):
        numbers = row[1:] if key == TEXT else row
        if len(row) != len(table.columns) + 1 or not all(map(math.isfinite, numbers)):
            message = f"row {place} of the table {id} is not complete"
            raise FormulaError(message, 0, "give every column a number")
    keys = tuple(row[0] if key == TEXT else float(row[0]) for row in table.rows)
    columns = {
        name: tuple(float(row[place]) for row in table.rows)
        for place, name in enumerate(table.columns, start=1)
    }
    return TableData(id, key, dimensions, keys, columns)


def all_tables(tables: Mapping[str, Any] | None) -> dict[str, TableData]:
    """Every table of a mapping in the form of :class:`TableData`."""
    return {id: table_data(id, table) for id, table in (tables or {}).items()}


def interpolate(table: TableData, column: str, x: float) -> float:
    """The column at x, on the straight line between the two neighbouring rows; never beyond the ends."""
    keys, values = table.keys, table.columns[column]
    if not keys[0] <= x <= keys[-1]:
        raise FormulaError(f"the value lies outside the table {table.id}", 0, "stay within the table")
    above = next(place for place, key in enumerate(keys) if key >= x)
    if keys[above] == x:
        return values[above]
    x0, x1, y0, y1 = keys[above - 1], keys[above], values[above - 1], values[above]
    return y0 + (y1 - y0) * ((x - x0) / (x1 - x0))


def lookup(table: TableData, column: str, key: float | str) -> float:
    """The column in the row of that key."""
    for place, known in enumerate(table.keys):
        if _same(known, key):
            return table.columns[column][place]
    raise FormulaError(f"the table {table.id} has no such row", 0, "use a key that the table lists")


def _same(known: float | str, key: float | str) -> bool:
    if isinstance(known, str) or isinstance(key, str):
        return known == key
    return abs(known - key) <= NEAR * max(abs(known), abs(key))
