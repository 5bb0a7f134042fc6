"""The answers of every check make a distribution for every fault: they sum to one, one answer may be left out."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..likelihood import LikelihoodError
from ..model import Knowledge
from ..rows import WORDS, check_rows, constants


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code likelihood."""
    needed = [*(f"word_{word}" for word in WORDS), "clear_default", "likelihood_floor"]
    missing = [name for name in needed if name not in constants(knowledge)]
    # That one is missing is said by the rule of the constants.
    for one in () if missing else knowledge.checks.values():
        if one.clear not in one.answers:
            continue  # said by references_known
        try:
            check_rows(knowledge, one)
        except LikelihoodError as error:
            yield Problem.at(one.at("answers"), "likelihood", f"{one.id}: {error.message}", error.fix)
