"""What an act needs before it: the accesses around it and the safety gates, its own and theirs."""

from __future__ import annotations

from .acts import Act
from .model import Knowledge


def needed_gates(act: Act, knowledge: Knowledge) -> list[str]:
    """The gates of an act and of every access that it opens, outermost first."""
    gates: list[str] = []
    for access in access_chain(act.access, knowledge):
        gates += [gate for gate in knowledge.access[access].gates if gate not in gates]
    return gates + [gate for gate in act.gates if gate not in gates]


def access_chain(access: str, knowledge: Knowledge) -> list[str]:
    """An access and those around it, outermost first; a ring of accesses is cut (a rule of its own reports it)."""
    chain: list[str] = []
    while access in knowledge.access and access not in chain:
        chain.insert(0, access)
        access = knowledge.access[access].inside
    return chain
