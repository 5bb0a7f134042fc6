"""The page of one calculator."""

from __future__ import annotations

from typing import Any

from docutils import nodes

from ..knowledge.model import Calculator
from .block_calculator import calculator_block
from .facts import Facts
from .nodes import link, listing, prose, section


def calculator_page(facts: Facts, env: Any, calculator: Calculator) -> nodes.section:
    """Summary, form, arithmetic with sources, worked examples, and where it is used."""
    env.get_domain("rv").note("calculator", calculator.id, "", calculator.title)
    used = [link(env, kind, name, facts.title(kind, name)) for kind, name in facts.uses["calculator", calculator.id]]
    return section(f"calculator-{calculator.id}-page", calculator.title, prose(calculator.summary, "lead"),
                   calculator_block(facts, env, calculator, f"calculator-{calculator.id}", whole=True),
                   section(f"used-{calculator.id}", "Used in", listing(used, "links")) if used else None)
