"""Elements, wires, flame current and thermocouples against printed figures, conductor physics and the ITS-90."""

from __future__ import annotations

import math

import pytest
from fluids.piping import t_from_gauge
from sparkgap.quantities import UNITS
from thermocouple_its90 import TypeK

FOOT, INCH = UNITS["ft"].factor, UNITS["in"].factor

# NEC Chapter 9 Table 8, uncoated stranded copper at 75 °C, ohm for 1000 ft: single values, read in a transcription
NEC = {18: 7.95, 16: 4.99, 14: 3.14, 12: 1.98, 10: 1.24, 6: 0.491, 2: 0.194}


# --- element-power ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("output", "unit", "printed"), [
    ("resistance", "ohm", 12.8), ("current", "A", 18.75), ("power", "W", 4500)])
def test_element_as_installation_instructions_work_it(value, output, unit, printed):
    # 4500 W / 240 V = 18.75 A, (240 V)2 / 4500 W = 12.8 ohm: manual 51783, page 3, on manualsdump.com
    assert value("element-power", output, unit, rated_power="4500 W", rated_voltage="240 V",
                 measured_voltage="240 V") == pytest.approx(printed, rel=1e-9)


@pytest.mark.parametrize(("rated", "printed", "within"), [
    (4500, 3380, 1e-9),  # waterheaterrescue.com and others; 3375 when rounded to 75 % first
    (5500, 4125, 2e-3),  # waterheatertimer.org, a label: 75 % of 5500 W
])
def test_240_volt_elements_on_208_volts(value, rated, printed, within):
    given = {"rated_power": f"{rated} W", "rated_voltage": "240 V", "measured_voltage": "208 V"}
    assert value("element-power", "power", "W", **given) == pytest.approx(printed, rel=within)
    assert value("element-power", "share", "%", **given) == pytest.approx(75, rel=2e-3)


def test_an_element_on_half_its_voltage_makes_a_quarter(value):
    # waterheaterrescue.com: 4500 W at 240 V are 1125 W at 120 V, and recovery takes four times as long
    given = {"rated_power": "4500 W", "rated_voltage": "240 V"}
    assert value("element-power", "power", "W", measured_voltage="120 V", **given) == pytest.approx(1125, rel=1e-9)
    full, half = (value("element-power", "heat_up_time", "min", measured_voltage=volts, **given)
                  for volts in ("240 V", "120 V"))
    assert half == pytest.approx(4 * full, rel=1e-9)


@pytest.mark.parametrize(("volts", "watts"), [(104, 1081.6), (108, 1166.4), (110, 1210), (114, 1299.6), (126, 1587.6)])
def test_campground_voltages(value, volts, watts):
    # 1440 W at 120 V is 10 ohm; 114 to 126 V is range A of ANSI C84.1. Arithmetic on rated figures, no measurement.
    assert value("element-power", "power", "W", rated_power="1440 W", rated_voltage="120 V",
                 measured_voltage=f"{volts} V") == pytest.approx(watts, rel=1e-9)


# --- dc-wire-drop -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("gauge", sorted(NEC))
def test_drop_with_the_codes_resistance(value, gauge):
    drop = value("dc-wire-drop", "drop", "V", gauge=str(gauge), length="25 ft", current="10 A")
    assert drop == pytest.approx(10 * 2 * 25 * NEC[gauge] / 1000, rel=1e-9)


def test_every_gauge_of_the_table_is_checked(knowledge):
    assert sorted(round(row[0]) for row in knowledge.tables["copper-wire"].rows) == sorted(NEC)


@pytest.mark.parametrize("gauge", sorted(NEC))
def test_drop_from_the_physics_of_copper(value, gauge):
    # Diameters of ASTM B258 from fluids, annealed copper 1/58 uohm m at 20 °C with 0.00393 per °C (NBS Handbook 100).
    # Stranding makes a wire 2 % longer than it looks; the code's values lie 2.05 to 2.5 % above a solid round wire.
    area = math.pi / 4 * t_from_gauge(gauge, SI=True, schedule="AWG") ** 2
    solid = (1 + 0.00393 * 55) / 58e6 / area
    found = value("dc-wire-drop", "drop", "V", gauge=str(gauge), length="10 ft", current="5 A") / (5 * 20 * FOOT)
    assert found / solid == pytest.approx(1.0225, abs=0.003)


@pytest.mark.parametrize(("gauge", "amperes", "feet", "volts"), [
    (10, 20, 15, 0.744), (12, 10, 20, 0.792), (6, 30, 20, 0.589)])
def test_what_is_left_at_the_load(value, gauge, amperes, feet, volts):
    given = {"gauge": str(gauge), "current": f"{amperes} A", "length": f"{feet} ft", "supply": "12.6 V"}
    assert value("dc-wire-drop", "at_load", "V", **given) == pytest.approx(12.6 - volts, abs=5e-4)
    assert value("dc-wire-drop", "drop_share", "%", **given) == pytest.approx(100 * volts / 12.6, abs=5e-3)


# --- flame-current ------------------------------------------------------------------------------------------


def test_resistor_under_the_meter_as_a_public_page_works_it(value):
    # curioustab.com on voltmeter loading: 100 kΩ under 10 MΩ is 99.01 kΩ, an error below 1 %
    given = {"shunt": "100 kohm", "meter_resistance": "10 Mohm"}
    assert value("flame-current", "needed_reading", "mV", needed="1 uA", **given) == pytest.approx(99.01, abs=5e-3)
    assert value("flame-current", "current", "uA", reading="99.01 mV", **given) == pytest.approx(1, rel=5e-5)
    assert value("flame-current", "plain_current", "uA", reading="100 mV", **given) == pytest.approx(1, rel=1e-9)


@pytest.mark.parametrize(("shunt", "meter"), [(100, 10000), (10, 1000), (1000, 10000), (470, 11000)])
def test_loading_error_as_a_public_page_states_it(value, shunt, meter):
    # hamradiobase.com, meter loading: error % = R source / (R meter + R source) x 100, low
    error = value("flame-current", "loading_error", "%", shunt=f"{shunt} kohm", meter_resistance=f"{meter} kohm")
    assert error == pytest.approx(-100 * shunt / (meter + shunt), rel=1e-9)


@pytest.mark.parametrize(("shunt", "meter", "microamperes"), [(100, 10000, 1.0), (47, 1000, 2.5), (1000, 10000, 0.7)])
def test_the_current_splits_between_resistor_and_meter(value, shunt, meter, microamperes):
    # Kirchhoff: what goes through both at the same voltage adds up to what the flame passes (mV / kΩ = µA)
    millivolts = value("flame-current", "needed_reading", "mV", shunt=f"{shunt} kohm",
                       meter_resistance=f"{meter} kohm", needed=f"{microamperes} uA")
    assert millivolts / shunt + millivolts / meter == pytest.approx(microamperes, rel=1e-9)


# --- pilot-millivolts ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", range(0, 950, 50))
def test_thermocouple_table(knowledge, row):
    # reference function of NIST Monograph 175, in the library thermocouple-its90; three decimals are kept
    key, voltage = knowledge.tables["thermocouple-k"].rows[row // 50]
    assert key == pytest.approx(273.15 + row)
    assert voltage * 1000 == pytest.approx(TypeK.emf(row), abs=5.01e-4)


@pytest.mark.parametrize(("celsius", "printed"), [(100, 4.0962), (300, 12.2086), (500, 20.6443), (700, 29.1290)])
def test_thermocouple_values_of_a_second_library(value, celsius, printed):
    # thermocouples_reference 0.20, four decimals; the far end at 42 °C takes 1.694 mV
    given = {"tip": f"{celsius} degC", "cold_junction": "42 degC"}
    total = value("pilot-millivolts", "millivolts", "mV", **given) + value("pilot-millivolts", "lost", "mV", **given)
    assert total == pytest.approx(printed, abs=5.5e-4)
    assert value("pilot-millivolts", "lost", "mV", **given) == pytest.approx(1.694, abs=0.012)


@pytest.mark.parametrize("tip", [40, 75, 124.3, 275, 333, 512, 640, 744.9, 860])
@pytest.mark.parametrize("far", [5, 25, 60, 75, 175])
def test_between_the_rows(value, tip, far):
    # a straight line over 50 °C errs by at most 0.012 mV at each end
    found = value("pilot-millivolts", "millivolts", "mV", tip=f"{tip} degC", cold_junction=f"{far} degC")
    assert found == pytest.approx(TypeK.emf(tip, reference=far), abs=0.024)


def test_a_type_k_couple_would_need_745_degrees_for_thirty_millivolts(value):
    # thermocouple-its90: 30 mV over a far end of 25 °C
    assert value("pilot-millivolts", "millivolts", "mV", tip="744.9 degC", cold_junction="25 degC") == pytest.approx(
        30, abs=0.024)
