"""From the knowledge to the one JSON that both engines read: a symptom with its faults, checks and remedies."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ..knowledge.acts import Act, Check, Minutes, Remedy
from ..knowledge.conditions import clash
from ..knowledge.entities import Condition
from ..knowledge.judges import judge_uses, variable
from ..knowledge.model import Knowledge
from ..knowledge.needs import access_chain, needed_gates, symptom_checks
from ..knowledge.rows import check_rows, constants

FREE_MINUTES = 3.0  # a tier-0 check of at most so many minutes is free (the design's rule)


def compile_symptom(knowledge: Knowledge, symptom_id: str) -> dict[str, Any]:
    """The engine's model of a symptom; see schema/model.schema.json. Raises KeyError for an unknown symptom.

    What no unit with this symptom can have is left out, so that it stays out while the unit is unknown.
    """
    symptom = knowledge.symptoms[symptom_id]
    number = constants(knowledge)
    faults = _faults(knowledge, symptom_id)
    checks = symptom_checks(knowledge, symptom_id)
    remedies = [r for r in knowledge.remedies.values()
                if set(r.ends) & set(faults) and not clash(r.applies_to, symptom.applies_to)]
    foreign = {name for name, gate in knowledge.gates.items() if clash(gate.applies_to, symptom.applies_to)}
    return {
        "symptom": symptom_id,
        "title": symptom.title,
        "digest": knowledge.digest,
        "constants": {name: number[name] for name in sorted(_DIAGNOSIS_CONSTANTS & set(number))},
        "weights": {"normal": symptom.weights.get("normal", number["weight_normal"]),
                    "other": symptom.weights.get("other", number["weight_other"])},
        "faults": [faults[name] for name in sorted(faults)],
        "checks": [_without(foreign, _check(knowledge, one, set(faults), symptom.first)) for one in checks],
        "remedies": [_without(foreign, _remedy(knowledge, one, set(faults)))
                     for one in sorted(remedies, key=lambda r: r.gid)],
        "access": {name: {"open": a.open, "close": a.close, "inside": a.inside, "title": a.title}
                   for name, a in sorted(knowledge.access.items())},
        "gates": {name: {"title": g.title, "says": g.says, "how": g.how, "otherwise": g.otherwise,
                         "holds": g.holds, "voided_by": g.voided_by, "hazard": g.hazard}
                  for name, g in sorted(knowledge.gates.items())},
    }


_DIAGNOSIS_CONSTANTS = {
    "hearsay_reliability", "replaced_persisted", "replaced_before", "conflict_ratio", "two_faults", "remedy_fails",
    "proof_misses", "conformity", "call_minutes", "back_minutes", "shop_rate", "look_ahead", "look_ahead_limit",
}


def _faults(knowledge: Knowledge, symptom_id: str) -> dict[str, dict[str, Any]]:
    symptom = knowledge.symptoms[symptom_id]
    result = {name: _fault(knowledge, name, weight, None) for name, weight in symptom.faults.items()}
    for other, also in symptom.also.items():
        included = {n: w for n, w in knowledge.symptoms[other].faults.items() if n not in result}
        total = 0.0
        for name in sorted(included):
            total += included[name]
        for name, weight in included.items():
            result[name] = _fault(knowledge, name, also.weight * weight / total, other)
    return {name: one for name, one in result.items()
            if not clash(knowledge.faults[name].when, symptom.applies_to)}


def _fault(knowledge: Knowledge, name: str, weight: float, origin: str | None) -> dict[str, Any]:
    fault = knowledge.faults[name]
    return {"id": name, "title": fault.title, "what": fault.what, "weight": float(weight),
            "when": _condition(fault.when), "from": origin, "caused_by": sorted(fault.caused_by),
            "page": f"kb/faults/{fault.system}.html#fault-{name}"}


def _condition(condition: Condition) -> list[dict[str, Any]]:
    return [term.as_json() for term in condition]


def _needs(knowledge: Knowledge, act: Act) -> list[str]:
    """The qualifications of an act, its accesses and its gates together; what an owner may do needs none."""
    needs = set(act.who)
    for name in access_chain(act.access, knowledge):
        needs |= set(knowledge.access[name].who)
    for name in needed_gates(act, knowledge):
        needs |= set(knowledge.gates[name].who)
    return sorted(needs - {"owner"})


def _act(knowledge: Knowledge, act: Act) -> dict[str, Any]:
    return {
        "id": act.gid, "title": act.title, "procedure": act.procedure, "who": _needs(knowledge, act), "tier": act.tier,
        "minutes": _minutes(knowledge, act.minutes), "access": access_chain(act.access, knowledge),
        "closes": list(act.closes),
        "when": _condition(act.applies_to), "requires": act.requires, "leaves": act.leaves,
        "gates": needed_gates(act, knowledge), "tools": _tools(act.tools), "why": act.why, "how": act.how,
        "never": act.never,
    }


def _without(foreign: set[str], act: dict[str, Any]) -> dict[str, Any]:
    """An act that serves several appliances, without the gates that are for another one."""
    return {**act, "gates": [name for name in act["gates"] if name not in foreign]}


def _minutes(knowledge: Knowledge, minutes: Minutes) -> float | dict[str, Any]:
    """Minutes for the engines; needs are the plate values without which only the typical minutes are known."""
    stated = minutes.as_json()
    if isinstance(stated, dict):
        inputs = knowledge.calculators[minutes.calculator].inputs.values()
        stated["needs"] = sorted(one.plate for one in inputs if one.plate and not one.default)
    return stated


def _tools(names: Iterable[str]) -> list[str]:
    return sorted(set(names))


def _check(knowledge: Knowledge, check: Check, faults: set[str], first: tuple[str, ...]) -> dict[str, Any]:
    answers = sorted(check.answers)
    every = check_rows(knowledge, check)
    rows = {name: row for name, row in every.items() if name in faults or name in ("*", "normal", "other")}
    number = constants(knowledge)
    return {
        **_act(knowledge, check), "ask": check.ask, "ask_owner": check.ask_owner, "good": check.good,
        "first": check.gid in first, "place": first.index(check.gid) if check.gid in first else None,
        "free": check.tier == 0 and not check.minutes.calculator and check.minutes.typical <= FREE_MINUTES,
        "answers": answers, "clear": check.clear,
        "blocks": [name for name in answers if check.answers[name].blocks],
        "words": {name: {"says": a.says, "means": a.means, "then": a.then} for name, a in check.answers.items()},
        "rows": rows, "misses": number["proof_misses"] if check.misses is None else check.misses,
        "measure": _measure(knowledge, check),
    }


def _measure(knowledge: Knowledge, check: Check) -> dict[str, Any] | None:
    if not check.measure:
        return None
    tolerances = knowledge.procedures[check.procedure].tolerances
    limit = tolerances[check.limit if check.judge else check.measure[0]]
    source = knowledge.sources.get(limit.source)
    return {
        "names": list(check.measure),
        "readings": {name: {"title": tolerances[name].title, "quantity": tolerances[name].quantity,
                            "tool": tolerances[name].tool, "variable": variable(name)} for name in check.measure},
        "judge": check.gid if check.judge else None,
        "uses": judge_uses(knowledge, check) if check.judge else None,
        "limit_id": limit.id, "quantity": limit.quantity, "source": limit.source,
        "limits": [{"when": _condition(band.when), "low": band.low.si if band.low else None,
                    "high": band.high.si if band.high else None, "safety": limit.safety,
                    "source_kind": source.kind if source else ""} for band in limit.bands],
    }


def _remedy(knowledge: Knowledge, remedy: Remedy, faults: set[str]) -> dict[str, Any]:
    proof = knowledge.checks[remedy.proof]
    part = knowledge.parts.get(remedy.part)
    number = constants(knowledge)
    return {
        **_act(knowledge, remedy), "ends": sorted(set(remedy.ends) & faults), "part": remedy.part or None,
        "who": sorted({*_needs(knowledge, remedy), *_needs(knowledge, proof)}),
        "after": remedy.after,
        "price": [{"when": _condition(fit.when), "usd": fit.price * remedy.part_count, "wait_minutes": fit.wait,
                   "item": fit.item} for fit in part.fits] if part else None,
        "proof": proof.gid, "proof_ask": proof.ask, "proof_minutes": _minutes(knowledge, proof.minutes),
        "proof_closes": list(proof.closes), "proof_access": access_chain(proof.access, knowledge),
        "misses": number["proof_misses"] if proof.misses is None else proof.misses,
        "fails": number["remedy_fails"] if remedy.fails is None else remedy.fails,
    }
