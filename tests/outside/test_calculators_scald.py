"""Scalding times against the wording that they are taken from and against other publications."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(("temperature", "seconds"), [(150, 2), (140, 6), (130, 30), (120, 300)])
def test_times_of_the_consumer_product_safety_commission(value, temperature, seconds):
    # the same four pairs in f-t.com, designing and maintaining a domestic hot water system
    found = value("scald-time", "time", "s", temperature=f"{temperature} degF")
    assert found == pytest.approx(seconds, rel=1e-9)


@pytest.mark.parametrize(("temperature", "shortest", "longest"), [
    (124, 60, 180),  # f-t.com: a child is badly burnt at 124 °F in less than three minutes
    (125, 90, 120),  # childrensal.org: one and a half to two minutes
    (131, 17, 30),  # industry table after ASTM F444: second and third degree
])
def test_between_the_rows_other_publications_agree(value, temperature, shortest, longest):
    assert shortest <= value("scald-time", "time", "s", temperature=f"{temperature} degF") <= longest


@pytest.mark.parametrize(("temperature", "seconds"), [(135, 10), (145, 3), (150, 1.5)])
def test_shorter_times_elsewhere_are_of_the_same_order(value, temperature, seconds):
    # childrensal.org is stricter above 130 °F; burns of skin are no more certain than this
    found = value("scald-time", "time", "s", temperature=f"{temperature} degF")
    assert seconds < found < 1.4 * seconds


def test_hotter_is_faster_all_the_way(value):
    times = [value("scald-time", "time", "s", temperature=f"{degrees} degF") for degrees in range(120, 151)]
    assert all(later < earlier for earlier, later in zip(times, times[1:], strict=False))


@pytest.mark.parametrize(("temperature", "end"), [("100 degF", "120 degF"), ("165 degF", "150 degF")])
def test_beyond_the_table_its_last_row_stays(value, temperature, end):
    assert value("scald-time", "time", "s", temperature=temperature) == pytest.approx(
        value("scald-time", "time", "s", temperature=end), rel=1e-9)


def test_it_warns_before_it_computes(knowledge):
    calculator = knowledge.calculators["scald-time"]
    assert "children and old people burn in less time" in calculator.summary
    assert "No figure here says that water is safe." in calculator.outputs["time"].says
