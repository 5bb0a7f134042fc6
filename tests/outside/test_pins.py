"""The shipped constants, limits and tables against published values that were written down apart (pins.yaml)."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import yaml
from sparkgap.quantities import UNITS, parse_quantity

PINS = yaml.safe_load(Path(__file__).with_name("pins.yaml").read_text(encoding="utf-8"))
WITHIN, MOST = 0.001, 0.01


def named(*keys):
    """The names of pins in the report of pytest."""
    return lambda pin: "-".join(str(pin[key]) for key in keys)


def in_unit(value_si, unit):
    """An SI magnitude in the unit of the publication: 1 % of 140 °F is not 1 % of 333 K."""
    return UNITS[unit].from_si(value_si) if unit else value_si


def assert_published(amount_si, published, quantity, pin):
    """The value is the published one."""
    wanted = parse_quantity(published, quantity)
    got, value = in_unit(amount_si, wanted.unit), in_unit(wanted.value_si, wanted.unit)
    assert math.isclose(got, value, rel_tol=pin.get("within", WITHIN)), pin["cite"]


@pytest.mark.parametrize("pin", PINS["constants"], ids=named("constant"))
def test_constant(knowledge, pin):
    amount = knowledge.constants[pin["constant"]].amount
    assert_published(amount.si, pin["value"], amount.quantity, pin)


@pytest.mark.parametrize("pin", PINS["tolerances"], ids=named("tolerance"))
def test_tolerance(knowledge, pin):
    procedure, name = pin["tolerance"].split("/")
    tolerance = knowledge.procedures[procedure].tolerances[name]
    bands = [band for band in tolerance.bands if not pin.get("when") or written(band.when) == pin["when"]]
    assert len(bands) == 1, "name the variant with when:"
    limits = {key: pin[key] for key in ("low", "high") if key in pin}
    assert limits
    for key, text in limits.items():
        assert_published(getattr(bands[0], key).si, text, tolerance.quantity, pin)


def written(condition):
    """A condition on choices as a mapping."""
    return {term.name: term.any[0] for term in condition}


@pytest.mark.parametrize("pin", PINS["tables"], ids=named("table", "column"))
def test_table(knowledge, pin):
    table = knowledge.tables[pin["table"]]
    column = 1 + list(table.columns).index(pin["column"])
    rows = {round(cells[0], 9): number for number, cells in enumerate(table.written)}
    assert rows.keys() == pin["values"].keys()
    for key, value in pin["values"].items():
        got = in_unit(table.rows[rows[key]][column], pin["unit"])
        assert math.isclose(got, value, rel_tol=pin.get("within", WITHIN)), (key, got, pin["cite"])


def test_every_pin_notices_two_per_cent():
    pins = [pin for kind in PINS.values() for pin in kind]
    assert all(0 < pin.get("within", WITHIN) <= MOST and len(pin["cite"]) > 10 for pin in pins)
