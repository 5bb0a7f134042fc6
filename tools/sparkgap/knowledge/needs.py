"""What an act needs before it (accesses, safety gates), and which checks serve a symptom."""

from __future__ import annotations

from .acts import Act, Check
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


def symptom_checks(knowledge: Knowledge, symptom_id: str) -> list[Check]:
    """The checks of a symptom, in order of id: those that speak for one of its faults in a procedure that serves it.

    A procedure serves the symptoms that it lists; what it says of the fuel gas serves every symptom that
    includes that one. A check that only makes sense with a flame to look at is so kept from a burner that does not
    light, although it names the same faults. The checks that come first, and the question whether other
    appliances are affected, always belong.
    """
    symptom = knowledge.symptoms[symptom_id]
    served = {symptom_id, *symptom.also}
    faults = set(symptom.faults)
    for other in symptom.also:
        faults |= set(knowledge.symptoms[other].faults) if other in knowledge.symptoms else set()
    always = {*symptom.first, *(also.ask for also in symptom.also.values())}
    found = []
    for gid, check in sorted(knowledge.checks.items()):
        speaks = any(faults & set(answer.likelihood) for answer in check.answers.values())
        if gid in always or (speaks and served & set(knowledge.procedures[check.procedure].symptoms)):
            found.append(check)
    return found
