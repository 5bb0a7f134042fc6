"""What an act needs before it (accesses, safety gates), and which checks serve a symptom."""

from __future__ import annotations

from collections.abc import Collection

from .acts import Act, Check
from .conditions import clash
from .model import Knowledge


def needed_gates(act: Act, knowledge: Knowledge, opened: Collection[str] = ()) -> list[str]:
    """The gates of an act and of every access that it opens, outermost first.

    Those that only connecting an instrument asks for fall away where it is connected already (``opened``).
    """
    spared = {gate for access, gates in connecting_gates(act, knowledge).items() if access in opened for gate in gates}
    gates: list[str] = []
    for access in access_chain(act.access, knowledge):
        gates += [gate for gate in knowledge.access[access].gates if gate not in gates]
    gates += [gate for gate in act.gates if gate not in gates]
    return [gate for gate in gates if gate not in spared]


def connecting_gates(act: Act, knowledge: Knowledge) -> dict[str, list[str]]:
    """Access where an instrument is attached -> the gates of an act that nothing but connecting it asks for."""
    chain = access_chain(act.access, knowledge)
    result = {}
    for access in chain:
        if knowledge.access[access].attached:
            others = {*act.gates, *(g for other in chain if other != access for g in knowledge.access[other].gates)}
            result[access] = [gate for gate in knowledge.access[access].gates if gate not in others]
    return result


def surrounds(outer: Collection[str], access: str, knowledge: Knowledge) -> bool:
    """Whether an access is one of some others or lies inside one of them."""
    return not set(outer).isdisjoint(access_chain(access, knowledge))


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
    appliances are affected, belong without that. A check that no unit with the symptom can meet is left out.
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
        serves = gid in always or (speaks and served & set(knowledge.procedures[check.procedure].symptoms))
        if serves and not clash(check.applies_to, symptom.applies_to):
            found.append(check)
    return found
