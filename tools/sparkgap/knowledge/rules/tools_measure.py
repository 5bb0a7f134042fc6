"""An instrument that a tolerance is read with measures what the tolerance is about."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge

# A thermometer reads two temperatures, of which the difference is taken.
_ALSO = {"temperature-difference": "temperature"}


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code quantity-invalid."""
    for procedure in knowledge.procedures.values():
        for tolerance in procedure.tolerances.values():
            tool = knowledge.tools.get(tolerance.tool)
            if tool is None or not tool.quantity:
                continue
            if tool.quantity not in (tolerance.quantity, _ALSO.get(tolerance.quantity)):
                yield Problem.at(tolerance.at("tool"), "quantity-invalid",
                                 f"{tool.id} measures {tool.quantity}, the tolerance {tolerance.id} is "
                                 f"{tolerance.quantity}", "name an instrument that measures it, or a hand tool")
