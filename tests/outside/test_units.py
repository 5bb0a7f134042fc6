"""Every unit against the definitions that standards give, and against scipy.constants where it has the unit.

Sources: the international yard and pound (1959): 1 in = 25.4 mm, 1 lb = 0.45359237 kg, both exact; US gallon =
231 in3; standard gravity 9.80665 m/s2 (CGPM 1901); International Table Btu by 1 Btu/lb = 2326 J/kg, exact;
conventional columns of water at 1000 kg/m3 and of mercury at 13595.1 kg/m3; the rest by arithmetic from these.
"""

from __future__ import annotations

import math

import pytest
from scipy import constants as reference
from sparkgap.quantities import UNITS, parse_quantity

INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665
FOOT, GALLON = 12 * INCH, 231 * INCH**3
BTU = 2326 * POUND
CMIL = math.pi / 4 * (INCH / 1000) ** 2
PSI = POUND * GRAVITY / INCH**2

FACTORS = {
    **{"in": INCH, "ft": FOOT, "mi": 5280 * FOOT, "mm": 1e-3, "cm": 1e-2, "m": 1, "km": 1e3},
    **{"in2": INCH**2, "ft2": FOOT**2, "mm2": 1e-6, "m2": 1, "cmil": CMIL},
    **{"gal": GALLON, "qt": GALLON / 4, "floz": GALLON / 128, "ft3": FOOT**3, "in3": INCH**3},
    **{"mL": 1e-6, "L": 1e-3, "m3": 1, "lb": POUND, "oz": POUND / 16, "g": 1e-3, "kg": 1},
    **{"ms": 1e-3, "s": 1, "min": 60, "h": 3600, "d": 86400},
    **{"degF": 5 / 9, "degC": 1, "K": 1, "delta_degF": 5 / 9, "delta_degC": 1},
    **{"psi": PSI, "inH2O": 1000 * GRAVITY * INCH, "inHg": 13595.1 * GRAVITY * INCH, "Pa": 1},
    **{"kPa": 1e3, "mbar": 100, "bar": 1e5},
    **{"Btu": BTU, "J": 1, "kJ": 1e3, "MJ": 1e6, "Wh": 3600, "kWh": 3.6e6},
    **{"Btu/h": BTU / 3600, "hp": 550 * FOOT * POUND * GRAVITY, "W": 1, "kW": 1e3},
    **{"uA": 1e-6, "mA": 1e-3, "A": 1, "A*h": 3600, "mV": 1e-3, "V": 1, "kV": 1e3},
    **{"mohm": 1e-3, "ohm": 1, "kohm": 1e3, "Mohm": 1e6, "ohm/ft": 1 / FOOT, "ohm/m": 1, "ohm*m": 1},
    **{"ohm*cmil/ft": CMIL / FOOT, "ft3/h": FOOT**3 / 3600, "ft3/min": FOOT**3 / 60, "m3/h": 1 / 3600},
    **{"L/h": 1e-3 / 3600, "m3/s": 1, "gal/min": GALLON / 60, "gal/h": GALLON / 3600, "L/min": 1e-3 / 60},
    **{"lb/h": POUND / 3600, "kg/h": 1 / 3600, "ft/s": FOOT, "ft/min": FOOT / 60},
    **{"mi/h": 5280 * FOOT / 3600, "m/s": 1, "km/h": 1 / 3.6},
    **{"Btu/ft3": BTU / FOOT**3, "Btu/gal": BTU / GALLON, "MJ/m3": 1e6, "MJ/L": 1e9},
    **{"Btu/lb": 2326, "kJ/kg": 1e3, "Btu/(lb*delta_degF)": 4186.8, "J/(kg*K)": 1, "kJ/(kg*K)": 1e3},
    **{"W/delta_degC": 1, "Btu/(h*delta_degF)": BTU / 3600 * 9 / 5, "lb/gal": POUND / GALLON},
    **{"lb/ft3": POUND / FOOT**3, "kg/L": 1e3, "kg/m3": 1, "Hz": 1, "1": 1, "%": 0.01, "ppm": 1e-6},
    **{"1/K": 1, "1/delta_degC": 1, "1/delta_degF": 9 / 5, "mV/delta_degC": 1e-3},
    **{"psi/ft": PSI / FOOT, "kPa/m": 1e3, "USD": 1, "USD/h": 1 / 3600, "USD/gal": 1 / GALLON},
    **{"USD/L": 1e3, "USD/kWh": 1 / 3.6e6},
}


def test_every_unit_is_checked():
    assert set(FACTORS) == set(UNITS)


@pytest.mark.parametrize("unit", sorted(FACTORS))
def test_factor(unit):
    assert math.isclose(UNITS[unit].factor, FACTORS[unit], rel_tol=1e-14)


def test_offsets():
    shifted = {id: unit.offset for id, unit in UNITS.items() if unit.offset}
    assert shifted == {"degF": pytest.approx(459.67 * 5 / 9, rel=1e-15), "degC": 273.15}


@pytest.mark.parametrize(
    ("unit", "value"),
    [
        ("psi", reference.psi),
        ("Btu", reference.Btu_IT),
        ("hp", reference.hp),
        ("gal", reference.gallon_US),
        ("floz", reference.fluid_ounce_US),
        ("lb", reference.lb),
        ("mi", reference.mile),
        ("bar", reference.bar),
        ("mi/h", reference.mph),
        ("delta_degF", reference.degree_Fahrenheit),
    ],
)
def test_factor_is_scipys(unit, value):
    assert math.isclose(UNITS[unit].factor, value, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (60, 15.555555555555555), (140, 60)]
)
def test_temperatures(fahrenheit, celsius):
    kelvin = parse_quantity(f"{fahrenheit} degF").value_si
    assert kelvin == pytest.approx(reference.convert_temperature(celsius, "Celsius", "Kelvin"), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "unit", "value", "within"),
    [
        ("11 inH2O", "psi", 0.39740, 2e-5),  # 11 in w.c. in psi, conventional inch of water
        ("1 psi", "inH2O", 27.6799, 2e-6),  # the trade's 27.7 in w.c. to the psi
        ("1 W", "Btu/h", 3.412141633, 1e-9),  # ASHRAE's 3.412 Btu/h
        ("1 ft3", "gal", 7.480519, 1e-7),  # the trade's 7.48 gal to the cubic foot
        ("1 lb/gal", "kg/m3", 119.826, 4e-6),
        ("1 lb/ft3", "kg/m3", 16.01846, 3e-7),
        ("1 cmil", "mm2", 5.067075e-4, 1e-7),
        ("1 hp", "W", 745.69987, 3e-9),
        ("10.371 ohm*cmil/ft", "ohm*m", 1.7241e-8, 1e-4),  # annealed copper, IACS 1/58 uohm*m at 20 degC
    ],
)
def test_conversions_of_the_trade(text, unit, value, within):
    assert math.isclose(UNITS[unit].from_si(parse_quantity(text).value_si), value, rel_tol=within)
