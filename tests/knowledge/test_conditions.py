"""Conditions on the data plate: yes, no or unknown, and the same as the engines say."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sparkgap.diagnosis.specialise import applies
from sparkgap.knowledge.conditions import clash, holds
from sparkgap.knowledge.entities import Term
from sparkgap.quantities import parse_quantity

GALLON = parse_quantity("1 gal", "volume").value_si
MOTOR = Term("motor", any=("brushed", "other"))
BAND = Term("tank", low=10 * GALLON, high=20 * GALLON)


@pytest.mark.parametrize(("plate", "expected"), [
    ({}, None), ({"motor": "brushed"}, None), ({"motor": "brushless"}, False),
    ({"motor": "brushed", "tank": 10 * GALLON}, True), ({"motor": "other", "tank": 20 * GALLON}, False),
    ({"motor": "brushed", "tank": 9.999 * GALLON}, False), ({"tank": 25 * GALLON}, False),
    ({"tank": 15 * GALLON}, None),
])
def test_all_terms_must_hold_and_one_that_fails_decides(plate, expected):
    assert holds((MOTOR, BAND), plate) is expected


def test_no_condition_always_holds():
    assert holds((), {}) is True


@pytest.mark.parametrize("text", ["10 gal", "37.85411784 L", "0.03785411784 m3", "2310 in3", "40 qt"])
def test_a_limit_in_another_unit_is_the_same_limit(text):
    value = parse_quantity(text, "volume").value_si
    assert holds((Term("tank", low=10 * GALLON),), {"tank": value}) is True
    assert holds((Term("tank", high=10 * GALLON),), {"tank": value}) is False
    assert holds((Term("tank", any=(10 * GALLON,)),), {"tank": value}) is True


@pytest.mark.parametrize("slip", [1 - 1e-12, 1.0, 1 + 1e-12])
def test_a_rounding_slip_moves_nothing_over_a_limit(slip):
    value = {"tank": 10 * GALLON * slip}
    assert holds((Term("tank", low=10 * GALLON),), value) is True
    assert holds((Term("tank", high=10 * GALLON),), value) is False


_NUMBERS = st.sampled_from([1.0, 1.0 + 1e-12, 1.0 - 1e-12, 1.001, 2.0, 3.0])
_TERMS = st.one_of(
    st.builds(lambda values: Term("x", any=tuple(values)), st.lists(_NUMBERS, min_size=1, max_size=2)),
    st.builds(lambda low, high: Term("y", low=low, high=high), st.none() | _NUMBERS, st.none() | _NUMBERS),
    st.just(Term("z", any=("a", "b"))))


@settings(max_examples=300, deadline=None)
@given(st.lists(_TERMS, max_size=3), st.fixed_dictionaries(
    {}, optional={"x": _NUMBERS, "y": _NUMBERS, "z": st.sampled_from(["a", "b", "c"])}))
def test_the_engines_decide_alike(terms, plate):
    assert holds(tuple(terms), plate) is applies([term.as_json() for term in terms], plate, set())


def test_conditions_clash_when_they_allow_different_values_of_a_choice():
    storage, instant = Term("appliance", any=("storage",)), Term("appliance", any=("instant",))
    either, large = Term("appliance", any=("storage", "instant")), Term("volume", low=0.04)
    assert clash((storage,), (large, instant))
    assert not clash((storage,), (either,)) and not clash((storage, large), (large,)) and not clash((), (instant,))
