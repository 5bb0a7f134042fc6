"""The rules that hold between entities: one rule a module, the rule is the module's docstring.

Each module has ``check(knowledge)``, which yields a problem for each place where its rule is broken.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Problem
from ..model import Knowledge
from . import (
    answers_fit_limits,
    constants_fit,
    cycles_refused,
    examples_hold,
    expressions_fit,
    faults_are_mended,
    faults_are_reached,
    gates_come_first,
    heating_is_guarded,
    likelihoods_sum,
    numbers_have_sources,
    placed_and_declared,
    references_known,
    tools_measure,
    variants_match,
    words_fit,
)

RULES = (
    references_known,
    words_fit,
    tools_measure,
    numbers_have_sources,
    constants_fit,
    answers_fit_limits,
    likelihoods_sum,
    variants_match,
    placed_and_declared,
    gates_come_first,
    heating_is_guarded,
    faults_are_mended,
    faults_are_reached,
    cycles_refused,
    expressions_fit,
    examples_hold,
)


def apply(knowledge: Knowledge) -> Iterator[Problem]:
    """The problems of every rule."""
    for rule in RULES:
        yield from rule.check(knowledge)
