"""The knowledge of one build, loaded once a process, with the relations that the pages show both ways."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

from ..knowledge import load, snapshot
from ..knowledge.model import Check, Knowledge, Remedy, Tolerance
from ..knowledge.needs import symptom_checks

SHARED = ("plate", "constants", "tables", "sources", "gates", "access", "tools", "parts", "emergencies", "refusals",
          "units")
SNAPSHOT = "knowledge.snapshot"
_HELD: dict[str, Facts] = {}
_READY: dict[str, Facts] = {}
_DERIVED = ("checks_of", "remedies_of", "symptoms_of", "caused", "procedures_of", "uses", "prints", "scripts",
            "_digests")
_NOT_MEANING = {"place", "places", "placements", "body", "body_line", "tolerances", "checks", "remedies"}


def hold(root: str | Path, store: Path) -> Facts:
    """The knowledge below a root, held for this process and those forked from it.

    store: the folder of Sphinx's own pickles, where a build that is done leaves a snapshot for the next one.
    """
    facts = _READY.pop(str(Path(root).resolve()), None) or _recall(Path(root), store)
    _HELD[str(root)] = facts
    return facts


def make_ready(root: Path, store: Path) -> Facts:
    """Load the knowledge before a build, which then takes it instead of loading it again."""
    facts = _READY[str(root.resolve())] = _recall(root, store)
    return facts


def _recall(root: Path, store: Path) -> Facts:
    kept = snapshot.load(store / SNAPSHOT, root)
    return Facts(load(root)) if kept is None else Facts(*kept)


def keep(facts: Facts, store: Path) -> None:
    """Leave a snapshot of sound knowledge, unless the one that is there says as much."""
    if not facts.knowledge.problems and facts.derived() > facts.recalled:
        snapshot.save(store / SNAPSHOT, facts.knowledge, facts.state())


def facts_of(env: Any) -> Facts:
    """The facts of the build that a Sphinx environment belongs to."""
    return _HELD[str(env.srcdir)]


def meaning(value: Any) -> Any:
    """An entity without the places where it is written: what a page that shows it depends on."""
    if is_dataclass(value) and not isinstance(value, type):
        return [(f.name, meaning(getattr(value, f.name))) for f in fields(value) if f.name not in _NOT_MEANING]
    if isinstance(value, dict):
        return [(key, meaning(item)) for key, item in value.items()]
    if isinstance(value, (list, tuple)):
        return [meaning(item) for item in value]
    return value


def digest(value: Any) -> str:
    """A short digest that changes when what the value means changes."""
    return hashlib.sha256(repr(meaning(value)).encode()).hexdigest()[:16]


class Facts:
    """Knowledge with its reverse relations: what uses what."""

    def __init__(self, knowledge: Knowledge, kept: dict[str, Any] | None = None) -> None:
        self.knowledge = knowledge
        self.recalled = 0
        self.checks: dict[str, Check] = knowledge.checks
        self.remedies: dict[str, Remedy] = knowledge.remedies
        self.tolerances: dict[str, Tolerance] = {
            f"{p.id}/{t.id}": t for p in knowledge.procedures.values() for t in p.tolerances.values()
        }
        self.checks_of: dict[str, list[str]] = defaultdict(list)
        self.remedies_of: dict[str, list[str]] = defaultdict(list)
        self.symptoms_of: dict[str, list[str]] = defaultdict(list)
        self.caused: dict[str, list[str]] = defaultdict(list)
        self.procedures_of: dict[str, list[str]] = defaultdict(list)
        self.uses: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
        self.prints: dict[str, str] = {}
        self.scripts: dict[str, str] = {}
        self._digests: dict[tuple[str, str], str] = {}
        if kept is None:
            self._relate()
        else:
            vars(self).update(kept)
            self.recalled = self.derived()

    def state(self) -> dict[str, Any]:
        """All that was derived from the knowledge, as plain data: kept with it, it need not be derived again."""
        return {name: getattr(self, name) for name in _DERIVED}

    def derived(self) -> int:
        """How much was derived so far of what is derived on demand."""
        return len(self.prints) + len(self.scripts)

    def _relate(self) -> None:
        self._faults()
        self._symptoms()
        self._users()

    def _faults(self) -> None:
        for gid, check in sorted(self.checks.items()):
            for fault in sorted({f for answer in check.answers.values() for f in answer.likelihood}):
                self.checks_of[fault].append(gid)
        for gid, remedy in sorted(self.remedies.items()):
            for fault in remedy.ends:
                self.remedies_of[fault].append(gid)
        for fault in sorted(self.knowledge.faults):
            for cause in self.knowledge.faults[fault].caused_by:
                self.caused[cause].append(fault)

    def _symptoms(self) -> None:
        for sid in sorted(self.knowledge.symptoms):
            for fault in self.symptom_faults(sid):
                self.symptoms_of[fault].append(sid)
        for pid, procedure in sorted(self.knowledge.procedures.items()):
            for sid in procedure.symptoms:
                self.procedures_of[sid].append(pid)

    def symptom_faults(self, sid: str) -> list[str]:
        """The faults of a symptom, its own first, then those it includes from others."""
        symptom = self.knowledge.symptoms[sid]
        found = list(symptom.faults)
        for other in symptom.also:
            included = self.knowledge.symptoms.get(other)
            found += [f for f in (included.faults if included else {}) if f not in found]
        return [f for f in found if f in self.knowledge.faults]

    def symptom_checks(self, sid: str) -> list[str]:
        """The checks of a symptom as they stand without a plan: those that come first, then by tier and time."""
        symptom = self.knowledge.symptoms[sid]
        first = list(symptom.first) + [also.ask for also in symptom.also.values() if also.ask]
        gids = {check.gid for check in symptom_checks(self.knowledge, sid)}
        rest = sorted(gids - set(first), key=lambda gid: (self.checks[gid].tier, self.checks[gid].minutes.typical, gid))
        return [gid for gid in dict.fromkeys([*first, *rest]) if gid in self.checks]

    def _use(self, kind: str, name: str, by: tuple[str, str]) -> None:
        if name:
            self._users_seen[kind, name][by] = None

    def _users(self) -> None:
        self._users_seen: dict[tuple[str, str], dict[tuple[str, str], None]] = defaultdict(dict)
        self._note_users()
        self.uses.update({used: list(users) for used, users in self._users_seen.items()})
        del self._users_seen

    def _note_users(self) -> None:
        for pid, procedure in sorted(self.knowledge.procedures.items()):
            for gate in procedure.safety_gates:
                self._use("gate", gate, ("procedure", pid))
            for tool in procedure.tools:
                self._use("tool", tool, ("procedure", pid))
            for placement in procedure.placements:
                if placement.kind == "calculator":
                    self._use("calculator", placement.target, ("procedure", pid))
        for kind, acts in (("check", self.checks), ("remedy", self.remedies)):
            for gid, act in sorted(acts.items()):
                self._act_uses(kind, gid, act)
        for gid, tolerance in sorted(self.tolerances.items()):
            self._use("tool", tolerance.tool, ("tolerance", gid))
        self._sourced()

    def _act_uses(self, kind: str, gid: str, act: Check | Remedy) -> None:
        for tool in act.tools:
            self._use("tool", tool, (kind, gid))
        for gate in act.gates:
            self._use("gate", gate, (kind, gid))
        self._use("calculator", act.minutes.calculator, (kind, gid))
        if isinstance(act, Remedy):
            self._use("part", act.part, (kind, gid))
            self._use("check", act.proof, ("remedy", gid))
        else:
            for name in (*act.measure, act.limit):
                if name:
                    self._use("tolerance", name if "/" in name else f"{act.procedure}/{name}", (kind, gid))

    def _sourced(self) -> None:
        kinds = (("symptom", self.knowledge.symptoms), ("tolerance", self.tolerances),
                 ("calculator", self.knowledge.calculators), ("tool", self.knowledge.tools),
                 ("part", self.knowledge.parts), ("gate", self.knowledge.gates), ("unit", self.knowledge.units))
        for kind, entities in kinds:
            for name in sorted(entities):
                self._use("source", getattr(entities[name], "source", ""), (kind, name))
        for name, calculator in sorted(self.knowledge.calculators.items()):
            used = [self.knowledge.constants[c].source for c in calculator.constants if c in self.knowledge.constants]
            used += [self.knowledge.tables[t].source for t in calculator.tables if t in self.knowledge.tables]
            for source in (*used, *(example.source for example in calculator.examples)):
                self._use("source", source, ("calculator", name))

    def entity(self, kind: str, name: str) -> Any:
        """A named thing by kind and id, or None."""
        held = {"check": self.checks, "remedy": self.remedies, "tolerance": self.tolerances}.get(kind)
        if held is None:
            held = getattr(self.knowledge, "procedures" if kind == "procedure" else f"{kind}s", {})
        return held.get(name)

    def title(self, kind: str, name: str) -> str:
        """What a thing is called on a page: its title, for a check the question it asks."""
        found = self.entity(kind, name)
        if found is None:
            return name
        return getattr(found, "ask", "") or found.title

    def digest(self, kind: str, name: str) -> str:
        """The digest of one entity, computed once."""
        key = (kind, name)
        if key not in self._digests:
            self._digests[key] = digest(self.entity(kind, name))
        return self._digests[key]

    def shared_digest(self, kinds: Iterable[str] = SHARED) -> str:
        """One digest over the files that all pages share."""
        parts = []
        for kind in kinds:
            if ("shared", kind) not in self._digests:
                self._digests["shared", kind] = digest(getattr(self.knowledge, kind))
            parts.append(self._digests["shared", kind])
        return "".join(parts)
