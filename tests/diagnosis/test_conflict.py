"""Findings that do not go together, two faults at once, and faults that no check tells apart."""

import math

import pytest
from sparkgap.diagnosis import conflict, indistinct, specialise, two_faults
from sparkgap.diagnosis.conflict import pair_row

from tests.diagnosis.models import check, found, model, remedy

PAIR = specialise(
    model(
        faults={"a": 1.0, "b": 1.0},
        normal=0.0,
        other=0.1,
        checks=[
            check("s1", {"*": [0.05, 0.95], "a": [0.98, 0.02]}),
            check("s2", {"*": [0.05, 0.95], "b": [0.98, 0.02]}),
            check("s3", {"*": [0.05, 0.95], "a": [0.9, 0.1]}),
        ],
        remedies=[remedy("fit-a", ["a"], fails=0.05), remedy("fit-b", ["b"], fails=0.05)],
    ),
    {},
)


def test_findings_that_agree_are_no_conflict():
    assert conflict(PAIR, found(s1="bad", s3="bad")) is None


def test_one_finding_is_no_conflict():
    assert conflict(PAIR, found(s1="bad")) is None


def test_the_measure_by_hand_and_the_finding_that_fits_least():
    got = conflict(PAIR, found(s1="bad", s2="bad", s3="bad"))
    together = 0.45 * 0.98 * 0.05 * 0.9 + 0.45 * 0.05 * 0.98 * 0.05 + 0.1 * 0.05**3
    one, two, three = (0.45 * 0.98 + 0.55 * 0.05,) * 2 + (0.45 * 0.9 + 0.55 * 0.05,)
    assert got["score"] == pytest.approx(math.log(one * two * three / together), abs=1e-12)
    assert got["gid"] == "s2"


def test_two_equally_odd_findings_tie_by_id():
    got = conflict(PAIR, found(s1="bad", s2="bad"))
    assert got["gid"] == "s1"
    assert got["score"] == pytest.approx(math.log((0.45 * 0.98 + 0.55 * 0.05) ** 2 / (0.9 * 0.049 + 0.1 * 0.0025)))


def test_the_threshold_is_the_stated_ratio():
    sure = found(s1="bad", s2="bad", s3="bad")
    score = conflict(PAIR, sure)["score"]
    for factor, expected in ((0.999, True), (1.001, False)):
        sm = {**PAIR, "constants": {**PAIR["constants"], "conflict_ratio": math.exp(score * factor)}}
        assert (conflict(sm, sure) is not None) is expected


def test_the_row_of_two_faults():
    # a spoils the clear answer, b spoils it by half: both 0.02·0.475/0.95 = 0.01 of it
    act = check(
        "s", {"*": [0.04, 0.95, 0.01], "a": [0.9, 0.02, 0.08], "b": [0.1, 0.475, 0.425]}, ("bad", "ok", "worse")
    )
    rest = 1 - 0.01
    assert pair_row(act, "a", "b") == pytest.approx([rest * 1.0 / 1.505, 0.01, rest * 0.505 / 1.505], abs=1e-12)


def test_two_faults_never_make_a_check_clearer_than_one():
    act = check("s", {"*": [0.5, 0.5], "a": [0.1, 0.9], "b": [0.2, 0.8]})
    assert pair_row(act, "a", "b")[1] == 0.8


def test_two_faults_by_hand():
    got = two_faults(PAIR, found(s1="bad", s2="bad", s3="bad"))
    single = 0.45 * 0.98 * 0.05 * 0.9 + 0.45 * 0.05 * 0.98 * 0.05 + 0.1 * 0.05**3
    both = 0.45 * 0.45 * 0.98 * 0.98 * 0.9
    assert got is None
    assert 0.1 * both < single
    sm = {**PAIR, "constants": {**PAIR["constants"], "two_faults": 1.0}}
    got = two_faults(sm, found(s1="bad", s2="bad", s3="bad"))
    assert got["pair"] == ["a", "b"]
    assert got["ratio"] == pytest.approx(both / single, abs=1e-12)


def test_remedies_that_failed_one_after_the_other_speak_for_two_faults():
    seen = {**found(s1="bad", s2="bad"), "failed": ["fit-a", "fit-b"]}
    single = 0.45 * 0.05 * 0.98 * 0.05 * 2 + 0.1 * 0.05**2
    both = 0.45 * 0.45 * 0.98**2
    got = two_faults(PAIR, seen)
    assert got["pair"] == ["a", "b"]
    assert got["ratio"] == pytest.approx(0.1 * both / single, abs=1e-12)


def test_a_remedy_that_ends_both_of_a_pair_speaks_against_it():
    one = {**PAIR, "remedies": [*PAIR["remedies"], remedy("fit-both", ["a", "b"], fails=0.05)]}
    seen = found(s1="bad", s2="bad")
    strict = {**one, "constants": {**one["constants"], "two_faults": 100.0}}
    before = two_faults(strict, seen)["ratio"]
    after = two_faults(strict, {**seen, "failed": ["fit-both"]})["ratio"]
    single = 0.9 * 0.049
    assert after / before == pytest.approx(0.05 * (single + 0.00025) / (0.05 * single + 0.00025), abs=1e-9)


def test_faults_with_equal_rows_cannot_be_told_apart():
    rows = {"*": [0.05, 0.95], "a": [0.8, 0.2], "b": [0.8, 0.2], "c": [0.05, 0.95], "e": [0.8, 0.2 + 1e-9]}
    sm = specialise(
        model(
            faults=dict.fromkeys("abcde", 1.0),
            checks=[check("s", rows)],
            remedies=[remedy("fit-cd", ["c", "d"]), remedy("fit-a", ["a"])],
        ),
        {},
    )
    assert indistinct(sm) == [
        {"faults": ["a", "b"], "same_remedy": False},
        {"faults": ["c", "d"], "same_remedy": True},
    ]
