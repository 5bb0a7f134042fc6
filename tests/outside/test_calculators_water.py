"""Heating, mixing and expansion of water against CoolProp (IAPWS-95) and published figures.

CoolProp answers from enthalpies and densities at both temperatures; the calculators use one density and one mean
specific heat, or straight lines through a table. Each tolerance says what that simplification costs.
"""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from sparkgap.quantities import UNITS

GALLON, BTU_H = UNITS["gal"].factor, UNITS["Btu/h"].factor
AIR = 101325.0  # Pa


def kelvin(fahrenheit: float) -> float:
    return UNITS["degF"].to_si(fahrenheit)


def water(what: str, fahrenheit: float) -> float:
    """A property of liquid water at one atmosphere, in SI."""
    return PropsSI(what, "T", kelvin(fahrenheit), "P", AIR, "Water")


def heat(gallons: float, start: float, end: float) -> float:
    """Joules that warm a tank filled at the start temperature."""
    return gallons * GALLON * water("D", start) * (water("H", end) - water("H", start))


# --- tank-heat-up -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("gallons", "start", "end", "within"), [
    (6, 60, 140, 3e-4),  # the range of the mean specific heat, which is IF97's: 0.02 % below IAPWS-95
    (12, 60, 140, 3e-4),
    (10, 40, 140, 2e-3),  # colder water is denser and has a larger specific heat, warmer water the reverse
    (12, 50, 120, 2e-3),
    (16, 80, 160, 2e-3),
])
def test_heat_up_time_is_the_enthalpy_over_the_heat_rate(value, gallons, start, end, within):
    minutes = value("tank-heat-up", "heat_up_time", "min", volume=f"{gallons} gal", input="12000 Btu/h",
                    efficiency="0.80", start=f"{start} degF", set_point=f"{end} degF")
    assert minutes == pytest.approx(heat(gallons, start, end) / (12000 * BTU_H * 0.80) / 60, rel=within)


def test_heat_up_time_as_iapws_if97_gives_it(value):
    # Python library iapws 1.5.5: 6 gal from 60 to 140 °F take 3996.0 Btu, 24.97 min at 12000 Btu/h and 0.80
    minutes = value("tank-heat-up", "heat_up_time", "min", volume="6 gal", input="12000 Btu/h", efficiency="0.80",
                    start="60 degF", set_point="140 degF")
    assert minutes == pytest.approx(24.97, abs=0.005)


def test_run_rise_puts_the_heat_of_the_run_into_the_tank(value):
    rise = value("tank-heat-up", "run_rise", "delta_degF", volume="6 gal", input="12000 Btu/h", efficiency="0.80",
                 start="60 degF", run_time="24.97 min")
    assert heat(6, 60, 60 + rise) == pytest.approx(12000 * BTU_H * 0.80 * 24.97 * 60, rel=3e-4)


def test_heated_volume_is_what_the_heat_of_the_run_brings_to_the_set_point(value):
    gallons = value("tank-heat-up", "heated_volume", "gal", volume="12 gal", input="12000 Btu/h", efficiency="0.80",
                    start="60 degF", set_point="140 degF", run_time="11 min")
    assert heat(gallons, 60, 140) == pytest.approx(12000 * BTU_H * 0.80 * 660, rel=3e-4)


@pytest.mark.parametrize(("set_point", "gallons"), [("130 degF", 54.88), ("140 degF", 48.0)])
def test_recovery_of_the_public_calculator_page(value, set_point, gallons):
    # 40000 Btu/h at 0.80 for an hour; the page counts 8.33 lb/gal and 1 Btu/(lb °F), 0.1 % away from real water
    assert value("tank-heat-up", "heated_volume", "gal", volume="12 gal", input="40000 Btu/h", efficiency="0.80",
                 start="60 degF", set_point=set_point, run_time="60 min") == pytest.approx(gallons, rel=2e-3)


# --- element-power, the water side --------------------------------------------------------------------------


def test_element_heats_like_any_other_heat(value):
    minutes = value("element-power", "heat_up_time", "min", rated_power="1440 W", rated_voltage="120 V",
                    measured_voltage="108 V", volume="6 gal", start="60 degF", set_point="140 degF")
    assert minutes == pytest.approx(heat(6, 60, 140) / 1166.4 / 60, rel=3e-4)


# --- tankless-rise ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("flow", "inlet", "within"), [(1.5, 60, 3e-3), (1.0, 50, 3e-3), (2.0, 40, 4e-3)])
def test_instant_heater_raises_the_enthalpy_of_the_stream(value, flow, inlet, within):
    rise = value("tankless-rise", "rise", "delta_degF", input="42000 Btu/h", efficiency="0.80",
                 inlet=f"{inlet} degF", set_point="165 degF", flow=f"{flow} gal/min")
    given = heat(flow, inlet, inlet + rise) / 60
    assert given == pytest.approx(42000 * BTU_H * 0.80, rel=within)


@pytest.mark.parametrize(("rise", "flow"), [(70, 54.88), (80, 48.0)])
def test_instant_heater_holds_the_flow_of_the_public_page(value, rise, flow):
    assert value("tankless-rise", "most_flow", "gal/h", input="40000 Btu/h", efficiency="0.80", inlet="50 degF",
                 set_point=f"{50 + rise} degF") == pytest.approx(flow, rel=2e-3)


def test_instant_heater_agrees_with_the_trades_five_hundred(value):
    # Btu/h = 500 x gal/min x °F, as public pages print it; 500 stands for 8.33 x 60 and so lies 0.1 % high
    rise = value("tankless-rise", "rise", "delta_degF", input="50000 Btu/h", efficiency="0.80", inlet="60 degF",
                 flow="2 gal/min")
    assert 500 * 2 * rise == pytest.approx(40000, rel=2e-3)


def test_instant_heater_stops_at_its_set_point(value):
    both = {"input": "40000 Btu/h", "efficiency": "0.80", "inlet": "60 degF", "set_point": "120 degF"}
    assert value("tankless-rise", "outlet", "degF", flow="0.5 gal/min", **both) == pytest.approx(120, abs=1e-9)
    lukewarm = value("tankless-rise", "outlet", "degF", flow="2 gal/min", **both)
    assert heat(2, 60, lukewarm) / 60 == pytest.approx(32000 * BTU_H, rel=3e-3)


def test_smallest_flow_is_the_burners_or_the_switchs(value):
    given = {"efficiency": "0.80", "inlet": "60 degF", "set_point": "120 degF", "lowest_input": "15000 Btu/h"}
    flow = value("tankless-rise", "least_flow", "gal/min", start_flow="0.1 gal/min", **given)
    assert heat(flow, 60, 120) / 60 == pytest.approx(12000 * BTU_H, rel=1e-3)
    assert value("tankless-rise", "least_flow", "gal/min", start_flow="0.6 gal/min", **given) == pytest.approx(0.6)


# --- mixed-temperature --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("hot", "cold", "share"), [(140, 60, 0.25), (140, 40, 0.5), (180, 60, 0.6), (120, 70, 0.1)])
def test_mixture_has_the_mixed_enthalpy(value, hot, cold, share):
    # by weight; the specific heat of water changes by less than 0.7 % from 40 to 180 °F
    mixed = value("mixed-temperature", "mixed", "degF", hot=f"{hot} degF", cold=f"{cold} degF",
                  cold_share=f"{share * 100} %")
    exact = share * water("H", cold) + (1 - share) * water("H", hot)
    assert UNITS["degF"].from_si(PropsSI("T", "H", exact, "P", AIR, "Water")) == pytest.approx(mixed, abs=0.1)


@pytest.mark.parametrize(("hot", "cold", "tap"), [(140, 60, 100), (150, 40, 110), (120, 60, 118)])
def test_leaked_share_balances_the_enthalpy(value, hot, cold, tap):
    share = value("mixed-temperature", "leaked_share", "1", hot=f"{hot} degF", cold=f"{cold} degF", tap=f"{tap} degF")
    exact = (water("H", hot) - water("H", tap)) / (water("H", hot) - water("H", cold))
    assert share == pytest.approx(exact, abs=0.001)


def test_flows_of_hot_and_cold_make_the_tap(value):
    given = {"hot": "140 degF", "cold": "60 degF", "tap": "110 degF", "tap_flow": "1.6 gal/min"}
    cold, hot = (value("mixed-temperature", name, "gal/min", **given) for name in ("cold_flow", "hot_flow"))
    assert (cold, hot) == (pytest.approx(0.6), pytest.approx(1.0))
    heat_in = cold * water("H", 60) + hot * water("H", 140)
    assert heat_in / 1.6 == pytest.approx(water("H", 110), rel=1e-3)


def test_a_tank_gives_more_mixed_water_than_it_holds(value):
    # as much heat above cold in the mixture as in the tank, by enthalpy at equal weight
    given = {"volume": "6 gal", "hot": "140 degF", "cold": "60 degF", "cold_share": "37.5 %"}
    gallons = value("mixed-temperature", "mixed_volume", "gal", **given)
    assert value("mixed-temperature", "mixed", "degF", **given) == pytest.approx(110)
    assert gallons * (water("H", 110) - water("H", 60)) == pytest.approx(
        6 * (water("H", 140) - water("H", 60)), rel=2e-3)
