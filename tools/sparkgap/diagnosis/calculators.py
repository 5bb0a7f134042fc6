"""The calculators as functions of a data plate, for minutes that depend on the unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ..formulas import FormulaError
from ..formulas.calculator import inputs_from_plate
from ..knowledge.model import Knowledge


def plate_calculators(knowledge: Knowledge) -> dict[str, Callable[[Mapping[str, Any]], dict[str, Any] | None]]:
    """Calculator id -> function from a data plate (SI) to outputs (SI), or None where an input is missing."""
    return {name: _of_plate(knowledge, name) for name in knowledge.calculators}


def _of_plate(knowledge: Knowledge, name: str) -> Callable[[Mapping[str, Any]], dict[str, Any] | None]:
    calculator = knowledge.calculators[name]
    program = knowledge.programs[name]

    def run(plate: Mapping[str, Any]) -> dict[str, Any] | None:
        try:
            return program.run(inputs_from_plate(calculator, plate))
        except FormulaError:
            return None

    return run
