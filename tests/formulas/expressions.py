"""Random well-typed expressions: text and the dimension that it must have."""

from __future__ import annotations

from hypothesis import strategies as st
from sparkgap.kinds import dimension_of

QUANTITIES = ["ratio", "volume", "mass", "density", "temperature", "temperature-difference", "absolute-pressure"]
NAMES = {f"{quantity.replace('-', '_')}_{letter}": quantity for quantity in QUANTITIES for letter in "ab"}
UNIT = {
    "volume": "gal",
    "mass": "lb",
    "density": "lb/gal",
    "temperature": "degF",
    "temperature-difference": "delta_degF",
    "absolute-pressure": "psi",
}
PRODUCTS = {"mass": ("volume", "*", "density"), "volume": ("mass", "/", "density"), "density": ("mass", "/", "volume")}
NUMBERS = st.one_of(st.integers(0, 50), st.sampled_from([0.1, 2.5, 1e-9, 1 / 3, 7e11, 1e160]))


@st.composite
def exact(draw, quantity: str, depth: int) -> str:
    """An expression of + - * / and functions that both languages compute to the last bit."""
    if depth == 0 or draw(st.integers(0, 5)) == 0:
        return draw(leaf(quantity))
    part = lambda what=quantity: draw(exact(what, depth - 1))  # noqa: E731
    shape = draw(st.sampled_from(["sum", "product", "choose", "extreme", "unary", "special"]))
    if shape == "choose":
        compared = draw(st.sampled_from(QUANTITIES))
        sign = draw(st.sampled_from(["<", "<=", ">", ">=", "==", "!="]))
        return f"({part()} if {part(compared)} {sign} {part(compared)} else {part()})"
    if shape == "extreme":
        return f"{draw(st.sampled_from(['min', 'max']))}({part()}, {part()})"
    if quantity == "temperature":
        return f"({part()} {draw(st.sampled_from('+-'))} {part('temperature-difference')})"
    if shape == "sum" and quantity == "absolute-pressure":
        return f"({part()} + {part()})"
    if shape == "sum":
        return f"({part()} {draw(st.sampled_from('+-'))} {part()})"
    if shape == "product":
        return f"({part()} {draw(st.sampled_from('*/'))} {part('ratio')})"
    if shape == "unary":
        return f"{draw(st.sampled_from(['-', 'abs']))}({part()})"
    return draw(special(quantity, depth))


@st.composite
def special(draw, quantity: str, depth: int) -> str:
    """The ways that lead to one quantity only."""
    part = lambda what: draw(exact(what, depth - 1))  # noqa: E731
    if quantity in PRODUCTS:
        left, sign, right = PRODUCTS[quantity]
        return f"({part(left)} {sign} {part(right)})"
    if quantity == "temperature-difference":
        return f"({part('temperature')} - {part('temperature')})"
    if quantity == "ratio":
        other = draw(st.sampled_from([one for one in QUANTITIES if one != "temperature"]))
        whole = f"({part('ratio')}) ** {draw(st.integers(-4, 8))}"
        root, floor = f"sqrt(abs({part('ratio')}))", f"floor({part('ratio')})"
        return draw(st.sampled_from([f"({part(other)} / {part(other)})", whole, root, floor]))
    return f"({part(quantity)})"


@st.composite
def leaf(draw, quantity: str) -> str:
    """A name, a number, a quantity of a number, or the magnitude of a temperature."""
    names = [name for name, what in NAMES.items() if what == quantity]
    number = draw(NUMBERS)
    if quantity == "ratio":
        return draw(st.sampled_from([*names, repr(number), 'magnitude(temperature_a, "degC")']))
    return draw(st.sampled_from([*names, f'of({number!r}, "{UNIT[quantity]}")', f'q("{number!r} {UNIT[quantity]}")']))


@st.composite
def typed(draw) -> tuple[str, str]:
    """(expression, quantity): absolute pressures from literals and differences may be of either kind."""
    quantity = draw(st.sampled_from(QUANTITIES))
    return draw(exact(quantity, draw(st.integers(0, 4)))), quantity


@st.composite
def transcendental(draw) -> str:
    """An exact number inside one function that the languages compute within a last bit or so."""
    inside = draw(exact("ratio", 2))
    exponent = draw(st.sampled_from(["0.381", "1/3", "-0.206", "2.5", "9", "ratio_a"]))
    return draw(st.sampled_from([f"exp({inside})", f"log({inside})", f"({inside}) ** ({exponent})"]))


VALUES = st.fixed_dictionaries({name: st.floats(-1e6, 1e6, allow_subnormal=False) for name in NAMES})
DIMENSIONS = {quantity: dimension_of(quantity) for quantity in QUANTITIES}
