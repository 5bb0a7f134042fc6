"""The complete likelihood rows of a check, from its answers and the words of kb/constants.yaml."""

from __future__ import annotations

from .acts import Check
from .likelihood import rows
from .model import Knowledge

WORDS = ("sure", "likely", "even", "unlikely", "rare")


def check_rows(knowledge: Knowledge, check: Check) -> dict[str, list[float]]:
    """Hypothesis -> probability of each answer in order of id; ``*`` is the row of those not listed.

    Raises LikelihoodError where the answers of one fault make no distribution.
    """
    number = constants(knowledge)
    return rows(
        sorted(check.answers), check.clear, check.otherwise,
        {answer.id: answer.likelihood for answer in check.answers.values() if answer.likelihood},
        words={word: number[f"word_{word}"] for word in WORDS},
        clear_default=number["clear_default"], floor=number["likelihood_floor"],
        shows={name: fault.shows for name, fault in knowledge.faults.items() if fault.shows < 1})


def constants(knowledge: Knowledge) -> dict[str, float]:
    """All constants by name, in SI."""
    return {name: one.amount.si for name, one in knowledge.constants.items() if one.amount}
