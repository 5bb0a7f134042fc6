"""What can be measured: every quantity's dimension, and the units in which it is written and shown."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cached_property

from sparkgap.dimensions import (
    ABSOLUTE,
    GAUGE,
    HEATING_VALUE,
    PLAIN,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TEXT,
    Dimension,
)
from sparkgap.units import UNITS, Unit


class QuantityError(ValueError):
    """A written quantity that cannot be read: what is wrong, and how to write it."""

    def __init__(self, message: str, fix: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix


@dataclass(frozen=True)
class QuantityKind:
    """What can be measured: its dimension and the units it is shown in (an empty unit: a bare number)."""

    id: str
    title: str
    dimension: Dimension
    us: str
    si: str

    def accepts(self, unit: Unit) -> bool:
        """Whether the unit may be written for this quantity; a pressure unit serves gauge and absolute."""
        kinds = {"gauge": ("",), "absolute": ("",)}.get(self.dimension.kind, (self.dimension.kind,))
        if unit.id == "K" and self.dimension == TEMPERATURE_DIFFERENCE:
            return True
        return unit.dimension.exponents == self.dimension.exponents and unit.dimension.kind in kinds

    @cached_property
    def units(self) -> list[str]:
        """The spellings that may be written, the shown ones first."""
        accepted = [unit.id for unit in UNITS.values() if self.accepts(unit)]
        return list(dict.fromkeys(filter(None, [self.us, self.si, *accepted])))


_KINDS: list[tuple[str, str, Dimension | None, str, str]] = [
    ("ratio", "ratio", PLAIN, "", ""),
    ("percent", "percentage", PLAIN, "%", "%"),
    ("count", "count", PLAIN, "", ""),
    ("concentration", "concentration", PLAIN, "ppm", "ppm"),
    ("length", "length", None, "in", "mm"),
    ("altitude", "altitude", None, "ft", "m"),
    ("area", "area", None, "in2", "mm2"),
    ("volume", "volume", None, "gal", "L"),
    ("mass", "mass", None, "lb", "kg"),
    ("duration", "duration", None, "min", "min"),
    ("temperature", "temperature", TEMPERATURE, "degF", "degC"),
    ("temperature-difference", "temperature difference", TEMPERATURE_DIFFERENCE, "delta_degF", "delta_degC"),
    ("gauge-pressure", "gauge pressure", GAUGE, "inH2O", "kPa"),
    ("absolute-pressure", "absolute pressure", ABSOLUTE, "psi", "kPa"),
    ("pressure-gradient", "pressure per length", None, "psi/ft", "kPa/m"),
    ("power", "power", None, "Btu/h", "kW"),
    ("electric-power", "electric power", None, "W", "W"),
    ("energy", "energy", None, "Btu", "kJ"),
    ("electric-energy", "electric energy", None, "kWh", "kWh"),
    ("current", "current", None, "A", "A"),
    ("voltage", "voltage", None, "V", "V"),
    ("resistance", "resistance", None, "ohm", "ohm"),
    ("charge", "charge", None, "A*h", "A*h"),
    ("resistance-per-length", "resistance per length", None, "ohm/ft", "ohm/m"),
    ("resistivity", "resistivity", None, "ohm*cmil/ft", "ohm*m"),
    ("volume-flow", "volume flow", None, "ft3/h", "L/h"),
    ("air-flow", "air flow", None, "ft3/min", "m3/h"),
    ("water-flow", "water flow", None, "gal/min", "L/min"),
    ("mass-flow", "mass flow", None, "lb/h", "kg/h"),
    ("velocity", "velocity", None, "ft/min", "m/s"),
    ("heating-value", "heating value", HEATING_VALUE, "Btu/ft3", "MJ/m3"),
    ("specific-energy", "energy per mass", None, "Btu/lb", "kJ/kg"),
    ("specific-heat", "specific heat", None, "Btu/(lb*delta_degF)", "kJ/(kg*K)"),
    ("heat-loss", "heat loss per degree", None, "Btu/(h*delta_degF)", "W/delta_degC"),
    ("density", "density", None, "lb/gal", "kg/L"),
    ("frequency", "frequency", None, "Hz", "Hz"),
    ("temperature-coefficient", "change per degree", None, "1/delta_degF", "1/delta_degC"),
    ("thermal-voltage", "voltage per degree", None, "mV/delta_degC", "mV/delta_degC"),
    ("money", "money", None, "USD", "USD"),
    ("hourly-rate", "money per time", None, "USD/h", "USD/h"),
    ("fuel-price", "money per volume", None, "USD/gal", "USD/L"),
    ("energy-price", "money per energy", None, "USD/kWh", "USD/kWh"),
    ("choice", "choice from a list", TEXT, "", ""),
]
QUANTITIES: dict[str, QuantityKind] = {
    id: QuantityKind(id, title, dimension or UNITS[us].dimension, us, si)
    for id, title, dimension, us, si in _KINDS
}


def dimension_of(quantity: str) -> Dimension:
    """The dimension of a quantity id of :data:`QUANTITIES`."""
    return kind_of(quantity).dimension


def kind_of(quantity: str) -> QuantityKind:
    """The entry of :data:`QUANTITIES`, or a QuantityError that names the nearest ones."""
    if quantity in QUANTITIES:
        return QUANTITIES[quantity]
    near = difflib.get_close_matches(str(quantity), QUANTITIES, 3) or list(QUANTITIES)
    raise QuantityError(f'there is no quantity "{quantity}"', f"use one of: {', '.join(near)}")


def words(dimension: Dimension) -> str:
    """A dimension in words: "volume", "temperature difference", or base units when no quantity has it."""
    if dimension.plain:
        return "a plain number"
    if dimension.kind == "truth":
        return "a yes or no"
    if dimension.exponents == GAUGE.exponents and not dimension.kind:
        return "pressure"
    for kind in QUANTITIES.values():
        if kind.dimension == dimension:
            return kind.title
    return dimension.symbols()
