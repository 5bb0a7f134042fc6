"""How probable each fault is, given what has been found and what has been done.

p(h) ∝ w(h) · Π over findings of Σ over answers v(a)·P(a|h), see `finding_likelihood`. Sums run in order of id
in plain loops, so that belief.js gets the same numbers.
"""

from __future__ import annotations

from collections.abc import Mapping

from .specialise import NORMAL

Evidence = Mapping


def belief(sm: Mapping, evidence: Evidence) -> dict[str, float]:
    """The posterior of each hypothesis of a specialised symptom, summing to one."""
    return _normalised(sm, joint(sm, evidence))


def joint(sm: Mapping, evidence: Evidence) -> dict[str, float]:
    """Weight times likelihood of each hypothesis: the posterior before it is divided by its sum."""
    weights = context(sm, evidence)
    for check, weighted in findings(sm, evidence):
        for hypothesis in sm["hypotheses"]:
            weights[hypothesis] *= finding_likelihood(check, weighted, hypothesis)
    return weights


def context(sm: Mapping, evidence: Evidence) -> dict[str, float]:
    """The weights after what has been done to the unit, before any finding."""
    weights = replaced_weights(sm, evidence)
    for remedy in failed_remedies(sm, evidence):
        for hypothesis in sm["hypotheses"]:
            weights[hypothesis] *= survives(remedy, hypothesis) * (1.0 - remedy["misses"])
    return weights


def replaced_weights(sm: Mapping, evidence: Evidence) -> dict[str, float]:
    """The prior, changed for parts fitted before: for this complaint, which persisted, or before it began."""
    factors = {
        "for-this": sm["constants"]["replaced_persisted"],
        "before": sm["constants"]["replaced_before"],
        "unknown": 1.0,
    }
    weights = dict(sm["prior"])
    for entry in evidence.get("replaced", []):
        if entry["when"] not in factors:
            raise ValueError(f"replaced: unknown time {entry['when']}")
        ended = {
            fault for remedy in sm["remedies"] if _fits(remedy, entry["part"]) for fault in remedy["ends"]
        }
        for fault in sorted(ended):
            weights[fault] *= factors[entry["when"]]
    return weights


def _fits(remedy: Mapping, part: str) -> bool:
    return part in (remedy["id"], remedy.get("part"))


def failed_remedies(sm: Mapping, evidence: Evidence) -> list[Mapping]:
    """The remedies carried out whose proof failed, in order of id."""
    failed = set(evidence.get("failed", []))
    return [remedy for remedy in sm["remedies"] if remedy["id"] in failed]


def survives(remedy: Mapping, hypothesis: str) -> float:
    """q: the chance that the unit still does it after the remedy, if the hypothesis is true."""
    if hypothesis == NORMAL:
        return 0.0
    return remedy["fails"] if hypothesis in remedy["ends"] else 1.0


def findings(sm: Mapping, evidence: Evidence) -> list[tuple[Mapping, list[float]]]:
    """The answered checks of the symptom in order of id, each with the weights of its answers.

    A result told by somebody else is mixed with ignorance: v ← ρ·v + (1 − ρ)/k. One without weight is left
    out.
    """
    reliability = sm["constants"]["hearsay_reliability"]
    results = evidence.get("results", {})
    found = []
    for check in sm["checks"]:
        result = results.get(check["id"])
        if result is None:
            continue
        weighted = [float(result["v"].get(answer, 0.0)) for answer in check["answers"]]
        if not any(value > 0.0 for value in weighted):
            continue
        if result.get("hearsay"):
            count = len(weighted)
            weighted = [reliability * value + (1.0 - reliability) / count for value in weighted]
        found.append((check, weighted))
    return found


def row(check: Mapping, hypothesis: str) -> list[float]:
    """P(answer | hypothesis) in the order of the check's answers."""
    rows = check["rows"]
    return rows[hypothesis] if hypothesis in rows else rows["*"]


def finding_likelihood(check: Mapping, weighted: list[float], hypothesis: str) -> float:
    """Σ over answers of v(a)·P(a | hypothesis)."""
    return weigh(weighted, row(check, hypothesis))


def weigh(weighted: list[float], probabilities: list[float]) -> float:
    """Σ v·p, in order."""
    total = 0.0
    for value, probability in zip(weighted, probabilities, strict=True):
        total += value * probability
    return total


def _normalised(sm: Mapping, weights: Mapping[str, float]) -> dict[str, float]:
    total = 0.0
    for hypothesis in sm["hypotheses"]:
        total += weights[hypothesis]
    if total <= 0.0:  # all that is known has been ruled out for certain: say nothing new
        return {hypothesis: sm["prior"][hypothesis] for hypothesis in sm["hypotheses"]}
    return {hypothesis: weights[hypothesis] / total for hypothesis in sm["hypotheses"]}
