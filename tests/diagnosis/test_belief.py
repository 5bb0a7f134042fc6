"""The posterior against worked values and an enumeration written on its own."""

import numpy as np
import pytest
from sparkgap.diagnosis import belief, specialise

from tests.diagnosis.models import (
    check,
    found,
    heat_up,
    model,
    random_evidence,
    random_model,
    random_plate,
    remedy,
)

WORKED = specialise(
    model(
        faults={"a": 0.5, "b": 0.3, "c": 0.2},
        normal=0.0,
        other=0.0,
        checks=[
            check("s1", {"*": [0.1, 0.9], "a": [0.9, 0.1], "b": [0.2, 0.8]}),
            check("s2", {"*": [0.1, 0.9], "a": [0.3, 0.7], "b": [0.8, 0.2]}),
        ],
        remedies=[remedy("fit-a", ["a"], part="valve", fails=0.05, misses=0.1), remedy("fit-bc", ["b", "c"])],
    ),
    {},
)


def shares(evidence):
    got = belief(WORKED, evidence)
    return [got["a"], got["b"], got["c"]]


def test_worked_values_of_two_findings():
    assert shares(found(s1="bad", s2="bad")) == pytest.approx([0.729730, 0.259459, 0.010811], abs=1e-6)
    assert shares(found(s1="bad", s2="ok")) == pytest.approx([0.913043, 0.034783, 0.052174], abs=1e-6)


def test_without_findings_the_prior_stands():
    assert shares({}) == pytest.approx([0.5, 0.3, 0.2], abs=1e-15)


def test_a_reading_counts_by_the_weights_of_its_answers():
    evidence = {"results": {"s1": {"v": {"bad": 0.7, "ok": 0.3}}}}
    raw = [0.5 * (0.7 * 0.9 + 0.3 * 0.1), 0.3 * (0.7 * 0.2 + 0.3 * 0.8), 0.2 * (0.7 * 0.1 + 0.3 * 0.9)]
    assert shares(evidence) == pytest.approx([value / sum(raw) for value in raw], abs=1e-15)


def test_hearsay_is_mixed_with_ignorance():
    told = {"results": {"s1": {"v": {"bad": 1.0}, "hearsay": True}}}
    seen = {"results": {"s1": {"v": {"bad": 0.8 + 0.2 / 2, "ok": 0.2 / 2}}}}
    assert shares(told) == pytest.approx(shares(seen), abs=1e-15)


@pytest.mark.parametrize(("when", "factor"), [("for-this", 0.1), ("before", 3.0), ("unknown", 1.0)])
@pytest.mark.parametrize("part", ["fit-a", "valve"])
def test_a_part_fitted_before_changes_the_weight_of_its_faults(part, when, factor):
    total = 0.5 * factor + 0.5
    expected = [0.5 * factor / total, 0.3 / total, 0.2 / total]
    assert shares({"replaced": [{"part": part, "when": when}]}) == pytest.approx(expected, abs=1e-15)


def test_a_remedy_that_failed_leaves_its_faults_only_the_chance_that_it_failed():
    raw = [0.5 * 0.05, 0.3, 0.2]
    assert shares({"failed": ["fit-a"]}) == pytest.approx([value / sum(raw) for value in raw], abs=1e-15)


def test_a_failed_proof_shows_that_the_unit_is_not_sound():
    sm = specialise(model(faults={"a": 1.0}, normal=0.5, remedies=[remedy("fit-a", ["a"], fails=0.5)]), {})
    got = belief(sm, {"failed": ["fit-a"]})
    assert got["normal"] == 0.0
    assert got["a"] == pytest.approx(0.225 / (0.225 + 0.05), abs=1e-15)


def test_results_of_unknown_checks_and_without_weight_say_nothing():
    evidence = {"results": {"s9": {"v": {"bad": 1.0}}, "s1": {"v": {}}, "s2": {"v": {"no-answer": 1.0}}}}
    assert shares(evidence) == pytest.approx([0.5, 0.3, 0.2], abs=1e-15)


def test_all_ruled_out_for_certain_falls_back_to_the_prior():
    assert shares({"failed": ["fit-a", "fit-bc"]})[0] == pytest.approx(1.0, abs=1e-15)
    sm = specialise(model(faults={"a": 1.0}, normal=0.0, other=0.0, remedies=[remedy("fit-a", ["a"])]), {})
    assert belief(sm, {"failed": ["fit-a"]}) == sm["prior"]


def enumerate_by_definition(sm, evidence):
    """Bayes by the text of the model: worlds are a hypothesis and the answers that really were."""
    shares = {}
    for h in sm["hypotheses"]:
        weight = sm["prior"][h]
        for entry in evidence["replaced"]:
            ended = set()
            for r in sm["remedies"]:
                if entry["part"] in {r["id"], r["part"]}:
                    ended |= set(r["ends"])
            if h in ended:
                weight *= {"for-this": 0.1, "before": 3.0, "unknown": 1.0}[entry["when"]]
        for r in sm["remedies"]:
            if r["id"] in evidence["failed"]:
                stays = 0.0 if h == "normal" else r["fails"] if h in r["ends"] else 1.0
                weight *= stays * (1 - r["misses"])
        worlds = [weight]
        for c in sm["checks"]:
            if c["id"] in evidence["results"]:
                result = evidence["results"][c["id"]]
                row = c["rows"].get(h, c["rows"]["*"])
                k = len(row)
                trust = 0.8 if result["hearsay"] else 1.0
                seen = [trust * result["v"][a] + (1 - trust) / k for a in c["answers"]]
                worlds = [w * s * p for w in worlds for s, p in zip(seen, row, strict=True)]
        shares[h] = sum(worlds)
    total = sum(shares.values())
    return {h: share / total for h, share in shares.items()}


@pytest.mark.parametrize("seed", range(60))
def test_posterior_equals_enumeration(seed):
    compiled = random_model(seed)
    sm = specialise(compiled, random_plate(seed), {"heat-up": heat_up})
    evidence = random_evidence(seed, compiled)
    assert belief(sm, evidence) == pytest.approx(enumerate_by_definition(sm, evidence), abs=1e-12)


@pytest.mark.parametrize("seed", range(300, 330))
def test_posterior_equals_the_full_joint_table(seed):
    """The table of the cause and every check's answer; readings and hearsay weigh answers, the rest is summed out."""
    compiled = random_model(seed, faults=4, checks=4, remedies=2, plain=True)
    sm = specialise(compiled, {})
    evidence = random_evidence(seed, compiled)
    table = np.array([enumerate_by_definition(sm, {**evidence, "results": {}})[h] for h in sm["hypotheses"]])
    for c in sm["checks"]:
        rows = np.array([c["rows"].get(h, c["rows"]["*"]) for h in sm["hypotheses"]])
        table = table[..., None] * rows.reshape(rows.shape[0], *[1] * (table.ndim - 1), rows.shape[1])
    assert table.shape == (len(sm["hypotheses"]), *(len(c["answers"]) for c in sm["checks"]))
    assert table.sum() == pytest.approx(1.0, abs=1e-12)
    for axis, c in enumerate(sm["checks"], 1):
        result = evidence["results"].get(c["id"])
        if result is not None:
            seen = np.array([result["v"][a] for a in c["answers"]])
            if result["hearsay"]:
                seen = 0.8 * seen + 0.2 / len(seen)
            table = table * seen.reshape([-1 if n == axis else 1 for n in range(table.ndim)])
    shares = table.reshape(len(sm["hypotheses"]), -1).sum(axis=1)
    got = belief(sm, evidence)
    assert [got[h] for h in sm["hypotheses"]] == pytest.approx(list(shares / shares.sum()), abs=1e-12)
