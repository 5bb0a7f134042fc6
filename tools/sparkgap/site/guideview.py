"""The model of the guide and the words for it, embedded in a symptom page."""

from __future__ import annotations

from typing import Any

from ..diagnosis.compile import compile_symptom
from ..knowledge.model import Act, Check, Remedy
from ..knowledge.needs import connecting_gates
from . import words
from .block_check import measure_json, points_to
from .facts import Facts


class _Links:
    """Relative addresses of things from one page."""

    def __init__(self, app: Any, pagename: str) -> None:
        self.app, self.pagename = app, pagename
        self.domain = app.env.get_domain("rv")

    def to(self, kind: str, name: str) -> str:
        """The address of a thing, or nothing when no page describes it."""
        found = self.domain.find(kind, name)
        if found is None:
            return ""
        uri = self.app.builder.get_relative_uri(self.pagename, found[0])
        return f"{uri}#{found[1]}" if found[1] else uri


def _act(facts: Facts, links: _Links, kind: str, act: Act) -> dict[str, Any]:
    knowledge = facts.knowledge
    return {
        "url": links.to(kind, act.gid), "minutes": words.minutes(act.minutes), "tier": act.tier,
        "who": words.needed(knowledge, act), "gates": words.all_gates(knowledge, act),
        "tools": [knowledge.tools[t].title for t in act.tools if t in knowledge.tools],
        "reach": [knowledge.access[a].title for a in words.access_chain(knowledge, act.access)],
        "chain": words.access_chain(knowledge, act.access), "closes": list(act.closes),
        "connecting": connecting_gates(act, knowledge),
        "requires": act.requires, "leaves": act.leaves, "why": act.why, "how": act.how, "never": act.never,
        "procedure": {"id": act.procedure, "title": facts.title("procedure", act.procedure),
                      "url": links.to("procedure", act.procedure)},
    }


def _check(facts: Facts, links: _Links, check: Check) -> dict[str, Any]:
    return {
        **_act(facts, links, "check", check), "title": check.title, "ask": check.ask, "ask_owner": check.ask_owner,
        "good": check.good, "clear": check.clear,
        "measure": measure_json(facts, check),
        "answers": {a.id: {"says": a.says, "means": a.means, "then": a.then, "blocks": a.blocks,
                           "points": points_to(facts, a)} for a in check.answers.values()},
    }


def _remedy(facts: Facts, links: _Links, remedy: Remedy) -> dict[str, Any]:
    part = facts.knowledge.parts.get(remedy.part)
    return {
        **_act(facts, links, "remedy", remedy), "title": remedy.title, "ends": list(remedy.ends),
        "after": remedy.after, "proof": remedy.proof,
        "part": {"id": part.id, "title": part.title, "count": remedy.part_count, "url": links.to("part", part.id),
                 "fits": [{"when": [t.as_json() for t in fit.when], "item": fit.item, "price": fit.price,
                           "wait": fit.wait, "for": words.condition(facts.knowledge, fit.when)}
                          for fit in part.fits]} if part else None,
    }


def _faults(facts: Facts, links: _Links, names: set[str]) -> dict[str, Any]:
    held = facts.knowledge.faults
    return {name: {"title": held[name].title, "what": held[name].what, "danger": held[name].danger,
                   "url": links.to("fault", name),
                   "causes": [[facts.title("fault", cause), why] for cause, why in held[name].caused_by.items()]}
            for name in sorted(names) if name in held}


def guide_view(facts: Facts, app: Any, pagename: str, sid: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The compiled symptom for the engines, and titles, texts and addresses for what it names."""
    model = compile_symptom(facts.knowledge, sid)
    model.pop("digest", None)  # that of all knowledge: a page must not change when something else does
    links = _Links(app, pagename)
    checks = {c["id"]: facts.checks[c["id"]] for c in model["checks"]}
    remedies = {r["id"]: facts.remedies[r["id"]] for r in model["remedies"]}
    proofs = {r.proof: facts.checks[r.proof] for r in remedies.values() if r.proof in facts.checks}
    faults = {f["id"] for f in model["faults"]}
    acts = [*checks.values(), *remedies.values(), *proofs.values()]
    gates = {g for act in acts for g in words.all_gates(facts.knowledge, act)}
    view = {
        "symptom": sid,
        "title": facts.title("symptom", sid), "normal": facts.knowledge.symptoms[sid].normal,
        "checks": {gid: _check(facts, links, check) for gid, check in sorted({**proofs, **checks}.items())},
        "remedies": {gid: _remedy(facts, links, remedy) for gid, remedy in sorted(remedies.items())},
        "faults": _faults(facts, links, faults),
        "gates": {g: _gate(facts, links, g) for g in sorted(gates)},
        "access": {a: x.title for a, x in sorted(facts.knowledge.access.items())},
        "parts": {r.part: facts.title("part", r.part) for r in remedies.values() if r.part},
        "tools": {t: facts.knowledge.tools[t].title for act in acts for t in act.tools if t in facts.knowledge.tools},
        "stop": app.builder.get_relative_uri(pagename, "kb/stop"),
    }
    return model, view


def _gate(facts: Facts, links: _Links, name: str) -> dict[str, Any]:
    gate = facts.knowledge.gates[name]
    return {"title": gate.title, "says": gate.says, "how": gate.how, "otherwise": gate.otherwise,
            "hazard": gate.hazard, "holds": gate.holds, "voided_by": gate.voided_by, "url": links.to("gate", name)}
