"""Furnace air, combustion air, battery hours and carbon monoxide against CoolProp, the atmosphere and print."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976
from sparkgap.quantities import UNITS

FOOT, BTU_HOUR, CFM = (UNITS[unit].factor for unit in ("ft", "Btu/h", "ft3/min"))
AIR, SIXTY = 101325.0, UNITS["degF"].to_si(60)  # the gas trade's standard conditions

# Btu/h left of 15000 from 2000, 3000, … 9000 ft: a chart in furnace instructions, after the National Fuel Gas Code
FIRING = (13800, 13200, 12600, 12000, 11400, 10800, 10200, 9600)


def site_pressure(feet: float) -> float:
    return ATMOSPHERE_1976(feet * FOOT).P


# --- furnace-air --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("feet", [0, 1000, 5000, 8000, 12000])
@pytest.mark.parametrize("fahrenheit", [20, 70, 95])
def test_air_weighs_what_coolprop_says(value, feet, fahrenheit):
    # what is left is the real gas (0.05 %) and height above sea level taken for geopotential height
    density = PropsSI("D", "T", UNITS["degF"].to_si(fahrenheit), "P", site_pressure(feet), "Air")
    assert value("furnace-air", "air_density", "kg/m3", altitude=f"{feet} ft",
                 return_air=f"{fahrenheit} degF") == pytest.approx(density, rel=1e-3)


@pytest.mark.parametrize(("input", "flow", "feet"), [
    (20000, 190, 500), (34000, 320, 500), (34000, 320, 1999), (40000, 400, 0), (16000, 300, 0)])
def test_rise_is_the_enthalpy_that_the_air_takes_up(value, input, flow, feet):
    given = {"input": f"{input} Btu/h", "efficiency": "0.78", "air_flow": f"{flow} ft3/min", "altitude": f"{feet} ft",
             "return_air": "68 degF"}
    pressure, start = site_pressure(feet), UNITS["degF"].to_si(68)
    end = UNITS["degF"].to_si(value("furnace-air", "warm_air", "degF", **given))
    mass = flow * CFM * PropsSI("D", "T", start, "P", pressure, "Air")
    taken = mass * (PropsSI("H", "T", end, "P", pressure, "Air") - PropsSI("H", "T", start, "P", pressure, "Air"))
    assert taken == pytest.approx(input * 0.78 * BTU_HOUR, rel=3e-3)


def test_air_factor_is_the_handbooks(value):
    # 1.08 (0.075 x 0.24 x 60: insightusa.com, engineeringtoolbox.com); dry air at 70 °F and 14.696 psi by psychrolib
    # 2.5.0: 1.0784
    factor = value("furnace-air", "air_factor", "1", return_air="70 degF", altitude="0 ft")
    assert factor == pytest.approx(1.08, rel=3e-3)
    assert factor == pytest.approx(1.0784, rel=2e-3)


def test_air_factor_in_the_mountains(value):
    # 0.832 at 5000 ft in a public worked example: 5000 cfm through 35 °F carry 157248 Btu/h
    factor = value("furnace-air", "air_factor", "1", return_air="70 degF", altitude="5000 ft")
    assert factor * 5000 * 35 == pytest.approx(157248, rel=3e-3)


@pytest.mark.parametrize(("place", "firing"), list(enumerate(FIRING)))
def test_heat_in_the_mountains_is_the_charts(value, place, firing):
    feet = 2000 + 1000 * place
    given = {"input": "15000 Btu/h", "efficiency": "0.8", "air_flow": "150 ft3/min", "altitude": f"{feet} ft"}
    heat = value("furnace-air", "air_factor", "1", altitude=f"{feet} ft") * 150 * value(
        "furnace-air", "rise", "delta_degF", **given)
    assert heat == pytest.approx(0.8 * firing, rel=1e-9)


@pytest.mark.parametrize("rise", [55, 75, 110])
def test_needed_air_makes_the_wanted_rise(value, rise):
    flow = value("furnace-air", "needed_air", "ft3/min", wanted_rise=f"{rise} delta_degF", altitude="6500 ft")
    assert value("furnace-air", "rise", "delta_degF", air_flow=f"{flow} ft3/min",
                 altitude="6500 ft") == pytest.approx(rise)


# --- combustion-air -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("input", [10000, 34000])
def test_air_by_weight(value, input):
    # C3H8 + 5 O2 by mass; 20.9476 % of dry air is oxygen; 21638 Btu/lb is the heat of combustion (library chemicals
    # 1.5.2), air's density CoolProp's: through none of the calculator's constants but the composition of air.
    pounds = input / 21638
    oxygen = pounds * 5 * PropsSI("molarmass", "Oxygen") / PropsSI("molarmass", "Propane")
    air = oxygen / (0.209476 * PropsSI("molarmass", "Oxygen") / PropsSI("molarmass", "Air"))
    density = PropsSI("D", "T", SIXTY, "P", AIR, "Air") / UNITS["lb/ft3"].factor
    assert value("combustion-air", "least_air", "ft3/h", input=f"{input} Btu/h") == pytest.approx(
        air / density, rel=3e-3)


def test_air_near_the_rule_of_thumb(value):
    # ten cubic feet for each thousand Btu; propane takes a little less
    assert value("combustion-air", "least_air", "ft3/h", input="1000 Btu/h") == pytest.approx(10, rel=0.06)


def test_air_near_the_printed_ratio(value):
    # CAN/CGA-B149.2-M95 prints 23.5 volumes for commercial propane; pure propane by cantera 3.2.0 (gri30): 4.032 % of
    # the mixture is fuel, which counts 3.76 nitrogen to one oxygen
    ratio = value("combustion-air", "least_air", "ft3/h") / value("combustion-air", "gas_flow", "ft3/h")
    assert ratio == pytest.approx(23.5, rel=0.02)
    assert 100 / (1 + ratio) == pytest.approx(4.032, rel=5e-3)


def test_most_carbon_dioxide(value):
    # 13.7 % of the dry flue gas, with no air over: the figure of the trade for propane
    assert value("combustion-air", "flue_carbon_dioxide", "%", excess="0 %") == pytest.approx(13.7, rel=4e-3)
    assert value("combustion-air", "flue_oxygen", "%", excess="0 %") == 0


@pytest.mark.parametrize("excess", [20, 50, 100, 300])
def test_no_oxygen_is_lost(value, excess):
    """What went in as air comes out as carbon dioxide, water (two volumes of oxygen to each of propane), and rest."""
    dioxide, oxygen = (value("combustion-air", name, "1", excess=f"{excess} %")
                       for name in ("flue_carbon_dioxide", "flue_oxygen"))
    dry = 3 / dioxide
    nitrogen = dry * (1 - dioxide - oxygen)
    assert nitrogen * 0.209476 / (1 - 0.209476) == pytest.approx(3 + 2 + dry * oxygen, rel=1e-3)
    assert value("combustion-air", "air", "ft3/h", excess=f"{excess} %") == pytest.approx(
        (1 + excess / 100) * value("combustion-air", "least_air", "ft3/h"))


# --- battery-hours ------------------------------------------------------------------------------------------


WHOLE = {"usable": "1", "cold": "1", "duty": "1", "other_loads": "0 A"}


@pytest.mark.parametrize(("amperes", "k", "peukert", "printed", "within"), [
    (20, 1.3, 250, 5.0886, 1e-4),  # easycalculation.com
    (5, 1.2, 100, 14.5, 2e-3)])  # electrotechnik.net
def test_peukerts_own_form(value, amperes, k, peukert, printed, within):
    # t = C / I^k with Peukert's capacity C, as the two pages print it: the battery's capacity at one hour is C^(1/k).
    given = {"capacity": f"{peukert ** (1 / k)} A*h", "rated_hours": "1 h", "exponent": f"{k}",
             "blower_current": f"{amperes} A", **WHOLE}
    assert value("battery-hours", "hours", "h", **given) == pytest.approx(printed, rel=within)


@pytest.mark.parametrize("k", ["1", "1.15", "1.4"])
def test_a_battery_lasts_its_rated_hours_at_its_rated_current(value, k):
    assert value("battery-hours", "hours", "h", capacity="80 A*h", exponent=k, blower_current="4 A",
                 **WHOLE) == pytest.approx(20)


def test_shares_of_the_battery_and_of_the_time(value):
    given = {"capacity": "100 A*h", "exponent": "1", "blower_current": "8 A", "duty": "0.5", "other_loads": "1 A"}
    assert value("battery-hours", "mean_current", "A", **given) == pytest.approx(5)
    assert value("battery-hours", "hours", "h", usable="0.5", cold="0.8", **given) == pytest.approx(8)
    assert value("battery-hours", "night_charge", "A*h", night="10 h", **given) == pytest.approx(50)


def test_needed_capacity_lasts_the_night(value):
    needed = value("battery-hours", "needed_capacity", "A*h", night="11 h")
    assert value("battery-hours", "hours", "h", capacity=f"{needed} A*h") == pytest.approx(11)


def test_what_the_procedures_say_of_a_hundred_ampere_hours(value):
    assert value("battery-hours", "hours", "h") == pytest.approx(10, rel=0.05)


# --- co-exposure --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("reading", "earliest", "latest"), [(70, 60, 240), (150, 10, 50), (400, 4, 15)])
def test_alarm_times_of_ul_2034(value, reading, earliest, latest):
    assert value("co-exposure", "alarm_earliest", "min", reading=f"{reading} ppm") == pytest.approx(earliest)
    assert value("co-exposure", "alarm_latest", "min", reading=f"{reading} ppm") == pytest.approx(latest)


def test_below_the_table_no_alarm_for_thirty_days(value):
    assert value("co-exposure", "alarm_latest", "d", reading="30 ppm") == pytest.approx(30)
    assert value("co-exposure", "alarm_earliest", "d", reading="69 ppm") == pytest.approx(30)
    assert value("co-exposure", "alarm_latest", "min", reading="2000 ppm") == pytest.approx(15)


@pytest.mark.parametrize(("output", "reading", "minutes"), [
    ("working_day_share", 50, 480),  # 29 CFR 1910.1000 Table Z-1
    ("recommended_share", 35, 480), ("recommended_share", 200, 1),  # NIOSH, average and ceiling
    ("eight_hour_share", 9, 480), ("one_hour_share", 35, 60),  # 40 CFR 50.8
    ("guideline_share", 90, 15), ("guideline_share", 50, 30), ("guideline_share", 25, 60),  # WHO Europe 2000
    ("guideline_share", 10, 480)])
def test_at_the_published_limit_the_share_is_whole(value, output, reading, minutes):
    given = {"reading": f"{reading} ppm", "exposure": f"{minutes} min"}
    assert value("co-exposure", output, "%", **given) == pytest.approx(100)
    assert value("co-exposure", "worst_share", "%", **given) >= 100 - 1e-9


def test_averages_count_the_time(value):
    given = {"reading": "36 ppm", "exposure": "120 min"}
    assert value("co-exposure", "eight_hour_share", "%", **given) == pytest.approx(100)  # a quarter of 36 ppm
    assert value("co-exposure", "one_hour_share", "%", reading="70 ppm", exposure="30 min") == pytest.approx(100)
    assert value("co-exposure", "worst_share", "%", reading="0 ppm") == 0
