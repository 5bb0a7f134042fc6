"""Which documents must be read again: those whose facts have changed, and no others.

Sphinx sees that a file itself has changed. A page also shows facts from other files, so each document keeps a
fingerprint of them; it is compared after loading the knowledge anew. Touching a file changes no fingerprint.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any

from .facts import Facts, digest, facts_of, keep
from .indexes import INDEXES

Key = tuple[str, str]


def _check_keys(facts: Facts, gid: str) -> Iterator[Key]:
    yield "check", gid
    check = facts.checks[gid]
    for name in (*check.measure, check.limit):
        if name:
            yield "tolerance", name if "/" in name else f"{check.procedure}/{name}"


def _fault_keys(facts: Facts, fault: str) -> Iterator[Key]:
    yield "fault", fault
    for gid in facts.checks_of[fault]:
        yield from _check_keys(facts, gid)
    for gid in facts.remedies_of[fault]:
        yield "remedy", gid
        if facts.remedies[gid].proof in facts.checks:
            yield from _check_keys(facts, facts.remedies[gid].proof)


def _symptom_keys(facts: Facts, sid: str) -> Iterator[Key]:
    symptom = facts.knowledge.symptoms[sid]
    for other in (sid, *symptom.also, *symptom.mistaken_for):
        yield "symptom", other
    for fault in facts.symptom_faults(sid):
        yield from _fault_keys(facts, fault)
    for gid in symptom.first:
        if gid in facts.checks:
            yield from _check_keys(facts, gid)
    for pid in facts.procedures_of[sid]:
        yield "procedure", pid


def _procedure_keys(facts: Facts, pid: str) -> Iterator[Key]:
    procedure = facts.knowledge.procedures[pid]
    for placement in procedure.placements:
        if placement.kind in ("check", "remedy", "tolerance") and "/" in placement.target:
            yield placement.kind, placement.target
        elif placement.kind == "calculator":
            yield "calculator", placement.target
    for remedy in procedure.remedies.values():
        yield "check", remedy.proof
    acts = (*procedure.checks.values(), *procedure.remedies.values())
    for fault in {f for check in procedure.checks.values() for a in check.answers.values() for f in a.likelihood} | {
            f for remedy in procedure.remedies.values() for f in remedy.ends}:
        yield "fault", fault
    for act in acts:
        if act.minutes.calculator:
            yield "calculator", act.minutes.calculator


def keys(facts: Facts, docname: str) -> set[Key]:
    """The entities whose facts a document shows besides the shared files."""
    name = docname.rsplit("/", 1)[-1]
    if docname.startswith("kb/symptoms/") and name in facts.knowledge.symptoms:
        return set(_symptom_keys(facts, name))
    if docname.startswith("procedures/") and name in facts.knowledge.procedures:
        return set(_procedure_keys(facts, name))
    if docname.startswith("kb/faults/") and name in facts.knowledge.fault_pages:
        page = facts.knowledge.fault_pages[name]
        found = {key for fault in page.faults if fault in facts.knowledge.faults for key in _fault_keys(facts, fault)}
        return found | {("symptom", s) for fault in page.faults for s in facts.symptoms_of[fault]}
    return set()


def _users(facts: Facts, docname: str) -> str:
    if docname.startswith("kb/calculators/"):
        used = facts.uses["calculator", docname.rsplit("/", 1)[-1]]
        return repr([(kind, name, facts.title(kind, name)) for kind, name in used])
    return ""


def fingerprint(facts: Facts, docname: str) -> str:
    """One digest over everything that a document shows from the knowledge, computed once."""
    if docname not in facts.prints:
        facts.prints[docname] = _fingerprint(facts, docname)
    return facts.prints[docname]


def _fingerprint(facts: Facts, docname: str) -> str:
    index = INDEXES.get(docname.rsplit("/", 1)[-1]) if docname.count("/") == 1 else None
    if index is not None:
        parts = [digest(index.shows(facts))]
    else:
        parts = [f"{kind} {name} {facts.digest(kind, name)}" for kind, name in sorted(keys(facts, docname))]
        parts += [facts.shared_digest(), _users(facts, docname)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def on_outdated(app: Any, env: Any, added: set[str], changed: set[str], removed: set[str]) -> list[str]:
    """Documents known from before whose fingerprint differs now."""
    facts, before = facts_of(env), getattr(env, "rv_prints", {})
    return sorted(name for name in env.found_docs - added - changed
                  if name in before and before[name] != fingerprint(facts, name))


def on_purge(app: Any, env: Any, docname: str) -> None:
    """Forget the fingerprint of a document that goes or is read anew."""
    getattr(env, "rv_prints", {}).pop(docname, None)


def on_read(app: Any, doctree: Any) -> None:
    """Keep the fingerprint under which a document was read."""
    env = app.env
    if not hasattr(env, "rv_prints"):
        env.rv_prints = {}
    env.rv_prints[env.docname] = fingerprint(facts_of(env), env.docname)


def on_merge(app: Any, env: Any, docnames: Any, other: Any) -> None:
    """Take the fingerprints that another process kept."""
    if not hasattr(env, "rv_prints"):
        env.rv_prints = {}
    env.rv_prints.update({name: other.rv_prints[name] for name in docnames if name in getattr(other, "rv_prints", {})})


def on_finished(app: Any, exception: Exception | None) -> None:
    """After a build that is done, leave what was loaded and derived for the next one."""
    if exception is None:
        keep(facts_of(app.env), app.doctreedir)
