"""The knowledge model: reading, schema, cross-links, rules."""

from __future__ import annotations

from pathlib import Path

from .model import Knowledge

__all__ = ["Knowledge", "load"]


def load(root: Path | str, *, rules: bool = True) -> Knowledge:
    """Read the knowledge below root and apply every rule; ``problems`` of the result is complete and sorted."""
    from .read import read_knowledge
    from .rules import apply

    knowledge = read_knowledge(Path(root))
    if rules:
        knowledge.problems.extend(apply(knowledge))
        knowledge.problems.sort()
    return knowledge
