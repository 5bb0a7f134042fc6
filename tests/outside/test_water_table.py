"""The table of water against CoolProp's IAPWS-95, row by row: density, and psi for one °F at constant volume."""

from __future__ import annotations

import math

import pytest

coolprop = pytest.importorskip("CoolProp.CoolProp")
ATMOSPHERE, PSI, DEGREE = 101325.0, 6894.757293168, 5 / 9


def water(output, kelvin):
    """A property of liquid water at one atmosphere."""
    return coolprop.PropsSI(output, "T", kelvin, "P|liquid", ATMOSPHERE, "Water")


def test_density(knowledge):
    table = knowledge.tables["water-density"]
    column = 1 + list(table.columns).index("density")
    assert [row[0] for row in table.written] == list(range(40, 211, 10))
    for row in table.rows:
        assert math.isclose(row[column], water("D", row[0]), rel_tol=2e-5), row


def test_rise_in_a_sealed_tank(knowledge):
    table = knowledge.tables["water-density"]
    column = 1 + list(table.columns).index("sealed_rise")
    for row in table.rows:
        kelvin = row[0]
        slope = water("isobaric_expansion_coefficient", kelvin) / water("isothermal_compressibility", kelvin)
        assert math.isclose(row[column], slope * DEGREE / PSI, rel_tol=0.006), row
