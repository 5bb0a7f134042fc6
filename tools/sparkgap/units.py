"""The units that Sparkgap reads and shows, each with its way to SI; the numbers come from pint.

Only the spellings listed here exist: left to itself pint reads "cfm" as centi-femto-metre. ``Btu`` is
the International Table Btu and ``inH2O`` the conventional inch of water (249.08891 Pa), both as in pint.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from importlib.util import cache_from_source, find_spec
from pathlib import Path

from sparkgap.dimensions import BASES, Dimension


@dataclass(frozen=True)
class Unit:
    """A unit: ``SI value = value * factor + offset``; ``si`` is the unit of the other system beside it."""

    id: str
    dimension: Dimension
    factor: float
    offset: float
    label: str
    si: str

    def to_si(self, value: float) -> float:
        """The SI magnitude of a value in this unit."""
        return value * self.factor + self.offset

    def from_si(self, value_si: float) -> float:
        """The value in this unit of an SI magnitude."""
        return (value_si - self.offset) / self.factor


# spelling: (what pint calls it, label, the SI unit shown beside it); an empty text means the spelling itself.
_SPELLINGS: dict[str, tuple[str, str, str]] = {
    "in": ("inch", "", "mm"),
    "ft": ("foot", "", "m"),
    "mi": ("mile", "", "km"),
    "mm": ("mm", "", ""),
    "cm": ("cm", "", ""),
    "m": ("m", "", ""),
    "km": ("km", "", ""),
    "in2": ("inch**2", "in²", "mm2"),
    "ft2": ("foot**2", "ft²", "m2"),
    "mm2": ("mm**2", "mm²", ""),
    "m2": ("m**2", "m²", ""),
    "cmil": ("circular_mil", "", "mm2"),
    "gal": ("gallon", "", "L"),
    "qt": ("quart", "", "L"),
    "floz": ("fluid_ounce", "fl oz", "mL"),
    "ft3": ("foot**3", "ft³", "L"),
    "in3": ("inch**3", "in³", "mL"),
    "mL": ("mL", "", ""),
    "L": ("L", "", ""),
    "m3": ("m**3", "m³", ""),
    "lb": ("pound", "", "kg"),
    "oz": ("ounce", "", "g"),
    "g": ("gram", "", ""),
    "kg": ("kg", "", ""),
    "ms": ("ms", "", ""),
    "s": ("s", "", ""),
    "min": ("minute", "", ""),
    "h": ("hour", "", ""),
    "d": ("day", "", ""),
    "degF": ("degF", "°F", "degC"),
    "degC": ("degC", "°C", ""),
    "K": ("kelvin", "", ""),
    "delta_degF": ("delta_degF", "°F", "delta_degC"),
    "delta_degC": ("delta_degC", "°C", ""),
    "psi": ("psi", "", "kPa"),
    "inH2O": ("inH2O", "in w.c.", "kPa"),
    "inHg": ("inHg", "in Hg", "kPa"),
    "Pa": ("Pa", "", ""),
    "kPa": ("kPa", "", ""),
    "mbar": ("mbar", "", ""),
    "bar": ("bar", "", ""),
    "Btu": ("Btu_it", "", "kJ"),
    "J": ("J", "", ""),
    "kJ": ("kJ", "", ""),
    "MJ": ("MJ", "", ""),
    "Wh": ("W*hour", "", ""),
    "kWh": ("kW*hour", "", ""),
    "Btu/h": ("Btu_it/hour", "", "kW"),
    "hp": ("horsepower", "", "kW"),
    "W": ("W", "", ""),
    "kW": ("kW", "", ""),
    "uA": ("uA", "µA", ""),
    "mA": ("mA", "", ""),
    "A": ("A", "", ""),
    "A*h": ("A*hour", "Ah", ""),
    "mV": ("mV", "", ""),
    "V": ("V", "", ""),
    "kV": ("kV", "", ""),
    "mohm": ("mohm", "mΩ", ""),
    "ohm": ("ohm", "Ω", ""),
    "kohm": ("kohm", "kΩ", ""),
    "Mohm": ("Mohm", "MΩ", ""),
    "ohm/ft": ("ohm/foot", "Ω/ft", "ohm/m"),
    "ohm/m": ("ohm/m", "Ω/m", ""),
    "ohm*m": ("ohm*m", "Ω·m", ""),
    "ohm*cmil/ft": ("ohm*circular_mil/foot", "Ω·cmil/ft", "ohm*m"),
    "ft3/h": ("foot**3/hour", "ft³/h", "L/h"),
    "ft3/min": ("foot**3/minute", "ft³/min", "m3/h"),
    "m3/h": ("m**3/hour", "m³/h", ""),
    "L/h": ("L/hour", "", ""),
    "m3/s": ("m**3/s", "m³/s", ""),
    "gal/min": ("gallon/minute", "", "L/min"),
    "gal/h": ("gallon/hour", "", "L/h"),
    "L/min": ("L/minute", "", ""),
    "lb/h": ("pound/hour", "", "kg/h"),
    "kg/h": ("kg/hour", "", ""),
    "ft/s": ("foot/s", "", "m/s"),
    "ft/min": ("foot/minute", "", "m/s"),
    "mi/h": ("mile/hour", "", "km/h"),
    "m/s": ("m/s", "", ""),
    "km/h": ("km/hour", "", ""),
    "Btu/ft3": ("Btu_it/foot**3", "Btu/ft³", "MJ/m3"),
    "Btu/gal": ("Btu_it/gallon", "", "MJ/L"),
    "MJ/m3": ("MJ/m**3", "MJ/m³", ""),
    "MJ/L": ("MJ/L", "", ""),
    "Btu/lb": ("Btu_it/pound", "", "kJ/kg"),
    "kJ/kg": ("kJ/kg", "", ""),
    "Btu/(lb*delta_degF)": ("Btu_it/(pound*delta_degF)", "Btu/(lb·°F)", "kJ/(kg*K)"),
    "J/(kg*K)": ("J/(kg*kelvin)", "J/(kg·K)", ""),
    "kJ/(kg*K)": ("kJ/(kg*kelvin)", "kJ/(kg·K)", ""),
    "W/delta_degC": ("W/delta_degC", "W/°C", ""),
    "Btu/(h*delta_degF)": ("Btu_it/(hour*delta_degF)", "Btu/(h·°F)", "W/delta_degC"),
    "lb/gal": ("pound/gallon", "", "kg/L"),
    "lb/ft3": ("pound/foot**3", "lb/ft³", "kg/m3"),
    "kg/L": ("kg/L", "", ""),
    "kg/m3": ("kg/m**3", "kg/m³", ""),
    "Hz": ("Hz", "", ""),
    "1": ("dimensionless", "", ""),
    "%": ("percent", "", ""),
    "ppm": ("ppm", "", ""),
    "1/K": ("1/kelvin", "", ""),
    "1/delta_degC": ("1/delta_degC", "1/°C", ""),
    "1/delta_degF": ("1/delta_degF", "1/°F", "1/delta_degC"),
    "mV/delta_degC": ("mV/delta_degC", "mV/°C", ""),
    "psi/ft": ("psi/foot", "", "kPa/m"),
    "kPa/m": ("kPa/m", "", ""),
    "USD": ("USD", "", ""),
    "USD/h": ("USD/hour", "", ""),
    "USD/gal": ("USD/gallon", "", "USD/L"),
    "USD/L": ("USD/L", "", ""),
    "USD/kWh": ("USD/(kW*hour)", "", ""),
}
_KINDS = {
    **dict.fromkeys(("degF", "degC", "K"), "temperature"),
    **dict.fromkeys(("Btu/ft3", "Btu/gal", "MJ/m3", "MJ/L"), "heating value"),
}

HINTS: dict[str, str] = {
    "cfm": "write ft3/min for cubic feet a minute",
    "cfh": "write ft3/h for cubic feet an hour",
    "gpm": "write gal/min",
    "gph": "write gal/h",
    "F": "write degF for a temperature, delta_degF for a difference",
    "C": "write degC for a temperature, delta_degC for a difference",
    "BTU": "write Btu",
    "btu": "write Btu",
    "BTUH": "write Btu/h",
    "Btuh": "write Btu/h",
    "BTU/h": "write Btu/h",
    "BTU/hr": "write Btu/h",
    "Btu/hr": "write Btu/h",
    "wc": "write inH2O for inches of water column",
    "inWC": "write inH2O for inches of water column",
    "psig": "write psi; whether it is gauge or absolute is the quantity's business",
    "psia": "write psi; whether it is gauge or absolute is the quantity's business",
    "Ah": "write A*h",
    "hr": "write h",
    "sec": "write s",
    "inch": "write in",
    "inches": "write in",
    "feet": "write ft",
    "lbs": "write lb",
    "$": "write USD after the number",
}


def _registry():
    import pint  # here, because it takes most of a second and a warm start does not need it

    registry = pint.UnitRegistry(non_int_type=Fraction)
    registry.define("USD = [currency]")
    return registry


def _measure(registry, spelling: str) -> dict:
    """Exponents, factor and offset of one spelling. Fractions keep the factors correctly rounded."""
    unit = registry.Unit(_SPELLINGS[spelling][0])
    zero, one = (registry.Quantity(Fraction(n), unit).to_base_units() for n in (0, 1))
    names = {"m": "meter", "kg": "kilogram", "s": "second", "A": "ampere", "K": "kelvin", "USD": "USD"}
    powers = dict(one.unit_items())
    exponents = [str(Fraction(powers.pop(names[base], 0))) for base in BASES]
    if powers:
        raise ValueError(f"{spelling}: pint gives base units outside {BASES}: {powers}")
    offset = zero.magnitude if _KINDS.get(spelling) == "temperature" else Fraction(0)
    return {"exponents": exponents, "factor": float(one.magnitude - offset), "offset": float(offset)}


def _measures() -> dict[str, dict]:
    """What pint says of every spelling, kept beside the compiled modules for the next start."""
    definitions = Path(find_spec("pint").origin).with_name("default_en.txt").stat()
    key = hashlib.sha256(Path(__file__).read_bytes())
    key.update(f"{definitions.st_size} {definitions.st_mtime_ns}".encode())
    store = Path(cache_from_source(__file__)).parent / f"units-{key.hexdigest()[:16]}.json"
    try:
        return json.loads(store.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        registry = _registry()
    measures = {spelling: _measure(registry, spelling) for spelling in _SPELLINGS}
    try:
        store.parent.mkdir(parents=True, exist_ok=True)
        draft = store.with_suffix(f".{os.getpid()}")
        draft.write_text(json.dumps(measures), encoding="utf-8")
        draft.replace(store)  # in one step, so that a second process never reads half a file
    except OSError:
        pass  # a read-only installation measures anew each time
    return measures


def _unit(spelling: str, measure: Mapping) -> Unit:
    _, label, si = _SPELLINGS[spelling]
    dimension = Dimension(tuple(map(Fraction, measure["exponents"])), _KINDS.get(spelling, ""))
    if not (math.isfinite(measure["factor"]) and measure["factor"] > 0):
        raise ValueError(f"{spelling}: impossible factor {measure['factor']}")
    label = "" if spelling == "1" else label or spelling
    return Unit(spelling, dimension, measure["factor"], measure["offset"], label, si or spelling)


UNITS: dict[str, Unit] = {spelling: _unit(spelling, measure) for spelling, measure in _measures().items()}
