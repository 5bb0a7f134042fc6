"""Refrigerator elements and thermistor against printed figures, and limits against what they are computed from."""

from __future__ import annotations

import math

import pytest

# kohm at °C of a glass bead, 10 kohm at 25 °C, B(25/50) 3950 K: amwei.com, ntc-10k-ohm-beta-3950k-radial-glass-bead
BEAD = {-20: 90.9311, -15: 69.9035, -10: 53.9812, -5: 41.8540, 0: 32.5807, 5: 25.4687, 10: 20.0003, 15: 15.7850,
        20: 12.5266, 25: 10.0000, 30: 8.0338, 35: 6.4976}


# --- refrigerator-element -----------------------------------------------------------------------------------


def test_element_of_a_printed_refrigerator(value):
    # a public service page for the trade: 225 W, 120 V, 64 ohm at 72 °F for each of the two heaters
    given = {"mains_rated_power": "225 W", "mains_rated_voltage": "120 V"}
    assert value("refrigerator-element", "mains_resistance", "ohm", **given) == pytest.approx(64, rel=1e-9)


@pytest.mark.parametrize(("volts", "watts"), [(104, 1126.7), (108, 1166.4), (110, 1210.0), (126, 1587.6)])
def test_mains_power_falls_with_the_square(value, volts, watts):
    # worked by hand for 1500 W (104 V) and 1440 W (the others) at 120 V: watts = volts squared over 9.6 and 10 ohm
    rated = 1500 if volts == 104 else 1440
    share = value("refrigerator-element", "mains_share", "%", mains_rated_power=f"{rated / 10} W",
                  mains_rated_voltage="120 V", mains_voltage=f"{volts} V")
    assert share / 100 * rated == pytest.approx(watts, rel=1e-4)


def test_twelve_volts_that_are_ten_and_a_half(value):
    # worked by hand: 600 W at 12 V leave 459.4 W at 10.5 V, 76.6 per cent; a quarter of it here
    given = {"dc_rated_power": "150 W", "dc_rated_voltage": "12 V", "dc_voltage": "10.5 V"}
    assert 4 * value("refrigerator-element", "dc_power", "W", **given) == pytest.approx(459.4, rel=2e-4)
    assert value("refrigerator-element", "dc_share", "%", **given) == pytest.approx(76.6, abs=0.05)
    current = value("refrigerator-element", "dc_current", "A", **given)
    assert current * 10.5 == pytest.approx(value("refrigerator-element", "dc_power", "W", **given))


@pytest.mark.parametrize("output", ["resistance", "power", "share", "current"])
def test_the_two_elements_are_not_mixed_up(value, output):
    unit = {"resistance": "ohm", "power": "W", "share": "%", "current": "A"}[output]
    before = value("refrigerator-element", f"mains_{output}", unit)
    after = value("refrigerator-element", f"mains_{output}", unit, dc_rated_power="60 W", dc_voltage="9 V")
    assert after == before


# --- thermistor ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "kohm"), BEAD.items())
def test_thermistor_against_a_printed_table(value, celsius, kohm):
    # the equation with the part's own beta; the part's curve bends against it, the more the farther from 25 °C
    told = value("thermistor", "told", "degC", measured=f"{kohm * 1000} ohm")
    assert told == pytest.approx(celsius, abs=0.7 if celsius >= 0 else 2.5)


@pytest.mark.parametrize(("cold", "warm"), [(0, 10), (-5, 5), (0, 20)])
def test_thermistor_with_beta_from_two_rows(value, cold, warm):
    # beta from two rows of the printed table, as the input's help says, meets the row between within 0.2 degrees C
    beta = math.log(BEAD[cold] / BEAD[warm]) / (1 / (cold + 273.15) - 1 / (warm + 273.15))
    at_77 = BEAD[warm] * 1000 / math.exp(beta * (1 / (warm + 273.15) - 1 / 298.15))
    between = (cold + warm) // 2
    told = value("thermistor", "told", "degC", sensor_beta=f"{beta}", sensor_resistance=f"{at_77} ohm",
                 measured=f"{BEAD[between] * 1000} ohm")
    assert told == pytest.approx(between, abs=0.2)


@pytest.mark.parametrize("fahrenheit", [5, 32, 40, 77, 110])
def test_thermistor_there_and_back(value, fahrenheit):
    ohms = value("thermistor", "expected", "ohm", place=f"{fahrenheit} degF")
    assert value("thermistor", "told", "degF", measured=f"{ohms} ohm") == pytest.approx(fahrenheit, abs=1e-6)
    assert value("thermistor", "wrong_by", "delta_degF", measured=f"{ohms} ohm",
                 place=f"{fahrenheit - 10} degF") == pytest.approx(10, abs=1e-6)


def test_ice_water_by_the_equation_and_by_the_table(value):
    in_ice = value("thermistor", "in_ice", "ohm")
    assert in_ice == pytest.approx(10000 * math.exp(3950 * (1 / 273.15 - 1 / 298.15)), rel=1e-9)
    assert in_ice == pytest.approx(BEAD[0] * 1000, rel=0.035)


# --- limits that are computed -------------------------------------------------------------------------------


def test_level_gap_is_three_degrees(knowledge):
    # an owner's manual: within three degrees of level in any direction
    (band,) = knowledge.procedures["fridge-first-look"].tolerances["level-gap"].bands
    assert band.high.si == pytest.approx(12 * 0.0254 * math.tan(math.radians(3)), rel=2e-3)


@pytest.mark.parametrize("watts", [160, 325])
def test_element_limits_are_a_tenth_round_ohms_law(knowledge, watts):
    bands = knowledge.procedures["fridge-mains-heat"].tolerances["fridge-element-ohms"].bands
    ohms = 120 * 120 / watts
    assert [(band.low.si, band.high.si) for band in bands if band.low.si < ohms < band.high.si] == [
        (pytest.approx(0.9 * ohms, rel=2e-3), pytest.approx(1.1 * ohms, rel=2e-3))]
