"""A reading against its limits, with what the meter can be trusted for.

The rule is the probability of conformity of JCGM 106:2012: the true value is taken as normally distributed
about the reading, and a band is named only when the true value lies in it with the wanted probability.
All values are SI magnitudes. conf/static/js/verdict.js does the same in the browser; both are held together
by tests/vectors/verdict.json.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

CONFORMITY = 0.95
"""Probability from which a band is named, unless the caller hands in the knowledge's own constant."""

BANDS = ("below", "within", "above")
TOO_CLOSE = "too-close"

_SQRT_PI = 1.7724538509055159
_SQRT_2 = 1.4142135623730951
_SERIES_UP_TO = 3.0
_RANGE_SLACK = 1e-9  # of the end of a range: what a change of unit may add
_FRACTION_LEVELS = 80


@dataclass(frozen=True)
class Instrument:
    """What a meter shows and how far it may be off, in SI units of the quantity it reads.

    ``resolution`` is one step of the last digit, ``fixed`` a constant error, ``percent`` a share of the
    reading (1 means 1 %), ``digits`` a number of steps of the last digit; ``low`` and ``high`` are the ends of
    what it can show, None for an end that is not stated.
    """

    resolution: float = 0.0
    fixed: float = 0.0
    percent: float = 0.0
    digits: float = 0.0
    low: float | None = None
    high: float | None = None

    @classmethod
    def from_json(cls, data: Mapping | None) -> Instrument:
        """The instrument of ``{"resolution": …, "low": …, "high": …, "accuracy": {"fixed": …, "percent": …, …}}``."""
        data = data or {}
        accuracy = data.get("accuracy") or {}
        return cls(
            resolution=float(data.get("resolution") or 0.0),
            fixed=float(accuracy.get("fixed") or 0.0),
            percent=float(accuracy.get("percent") or 0.0),
            digits=float(accuracy.get("digits") or 0.0),
            low=data.get("low"),
            high=data.get("high"),
        )


@dataclass(frozen=True)
class Judgement:
    """What a reading says about a band.

    ``verdict`` is below, within, above or too-close. ``held`` is true when a reading that matters for safety
    is not surely within: the unit is not handed back on it. ``on_memory`` is true when a *within* rests on a
    limit that was only recalled from memory. ``uncertainty`` is the standard uncertainty of the judged value.
    """

    v_below: float
    v_within: float
    v_above: float
    verdict: str
    held: bool
    on_memory: bool
    uncertainty: float
    value: float

    def as_json(self) -> dict:
        """The judgement as the object that verdict.js returns."""
        return dict(self.__dict__)

    def evidence(self) -> dict[str, float]:
        """The weights of the answers below, within and above, as evidence for the belief."""
        return {"below": self.v_below, "within": self.v_within, "above": self.v_above}


def erfc(x: float) -> float:
    """The complementary error function.

    Up to 3 by the series erf x = 2/√π·exp(−x²)·Σ 2ⁿx²ⁿ⁺¹/(1·3·…·(2n+1)), whose terms are all positive;
    from there by the continued fraction of erfc (Abramowitz and Stegun 7.1.6 and 7.1.14). Spelled out, and
    not taken from the math library, so that both languages run the same steps.
    """
    size = abs(x)
    if size < _SERIES_UP_TO:
        tail = 1.0 - _erf_series(size)
    elif size > 27.0:
        tail = 0.0
    else:
        tail = _erfc_fraction(size)
    return tail if x >= 0 else 2.0 - tail


def _erf_series(x: float) -> float:
    square = x * x
    term = x
    total = x
    n = 0
    while term > total * 1e-17:
        n += 1
        term = term * 2.0 * square / (2.0 * n + 1.0)
        total += term
    return 2.0 / _SQRT_PI * math.exp(-square) * total


def _erfc_fraction(x: float) -> float:
    inner = x
    for level in range(_FRACTION_LEVELS, 0, -1):
        inner = x + 0.5 * level / inner
    return math.exp(-x * x) / (_SQRT_PI * inner)


def normal_below(z: float) -> float:
    """The standard normal distribution function Φ(z)."""
    return 0.5 * erfc(-z / _SQRT_2)


def standard_uncertainty(reading: float, instrument: Instrument | Mapping | None) -> float:
    """Standard uncertainty of one reading: u = √((a² + (resolution/2)²)/3), a the instrument's error bound.

    The error bound and half a step of the display are taken as half-widths of rectangular distributions.
    """
    tool = _meter(instrument)
    bound = tool.fixed + tool.percent / 100.0 * abs(reading) + tool.digits * tool.resolution
    half = tool.resolution / 2.0
    return math.sqrt((bound * bound + half * half) / 3.0)


def _meter(instrument: Instrument | Mapping | None) -> Instrument:
    return instrument if isinstance(instrument, Instrument) else Instrument.from_json(instrument)


def beyond(reading: float, instrument: Instrument | Mapping | None) -> str:
    """On which side a reading lies outside of what an instrument can show: below, above or "" for neither."""
    tool = _meter(instrument)
    if tool.low is not None and reading < tool.low - _RANGE_SLACK * abs(tool.low):
        return "below"
    if tool.high is not None and reading > tool.high + _RANGE_SLACK * abs(tool.high):
        return "above"
    return ""


def judge(
    reading: float,
    instrument: Instrument | Mapping | None,
    low: float | None,
    high: float | None,
    *,
    safety: bool = False,
    source_kind: str | None = None,
    conformity: float = CONFORMITY,
) -> Judgement:
    """Judge one reading. A limit of None is open; limits are inclusive when the instrument has no
    uncertainty.

    Raises ValueError for a reading that is not a finite number or that the instrument cannot show, and for limits
    in the wrong order.
    """
    _shown(reading, instrument)
    u = standard_uncertainty(reading, instrument)
    return _band(reading, u, low, high, safety, source_kind, conformity)


def judge_expression(
    function: Callable[[dict[str, float]], float],
    readings: Mapping[str, tuple[float, Instrument | Mapping | None]],
    low: float | None,
    high: float | None,
    *,
    safety: bool = False,
    source_kind: str | None = None,
    conformity: float = CONFORMITY,
) -> Judgement:
    """Judge a value computed from several readings, name → (reading, instrument).

    Each reading is moved up and down by its own uncertainty, u = √Σ((f(x+uᵢ) − f(x−uᵢ))/2)²: the law of
    propagation for independent readings (JCGM 100:2008, 5.1.3), with differences for the derivatives.
    """
    values = {name: readings[name][0] for name in sorted(readings)}
    for name, value in values.items():
        _shown(value, readings[name][1])
    centre = function(dict(values))
    _finite(centre)
    total = 0.0
    for name in values:
        step = standard_uncertainty(values[name], readings[name][1])
        if step == 0.0:
            continue
        up = function({**values, name: values[name] + step})
        half = (up - function({**values, name: values[name] - step})) / 2.0
        total += half * half
    return _band(centre, math.sqrt(total), low, high, safety, source_kind, conformity)


def settles(
    reading: float,
    instruments: Mapping[str, Instrument | Mapping | None],
    low: float | None,
    high: float | None,
    *,
    conformity: float = CONFORMITY,
) -> list[str]:
    """The instruments, by id, that can show this reading and would not call it too close; in order of id."""
    return [
        name
        for name in sorted(instruments)
        if not beyond(reading, instruments[name])
        and judge(reading, instruments[name], low, high, conformity=conformity).verdict != TOO_CLOSE
    ]


def _shown(reading: float, instrument: Instrument | Mapping | None) -> None:
    _finite(reading)
    side = beyond(reading, instrument)
    if side:
        raise ValueError(f"the reading lies {side} what this instrument can show")


def _finite(value: float) -> None:
    if not math.isfinite(value):
        raise ValueError("a reading must be a finite number")


def _band(
    value: float,
    u: float,
    low: float | None,
    high: float | None,
    safety: bool,
    source_kind: str | None,
    conformity: float,
) -> Judgement:
    if low is not None and high is not None and low > high:
        raise ValueError("the lower limit lies above the upper limit")
    below, above = _outside(value, u, low, high)
    within = max(0.0, 1.0 - below - above)
    verdict = TOO_CLOSE
    for name, share in zip(BANDS, (below, within, above), strict=True):
        if share >= conformity:
            verdict = name
    return Judgement(
        v_below=below,
        v_within=within,
        v_above=above,
        verdict=verdict,
        held=safety and verdict != "within",
        on_memory=source_kind == "memory" and verdict == "within",
        uncertainty=u,
        value=value,
    )


def _outside(value: float, u: float, low: float | None, high: float | None) -> tuple[float, float]:
    if u == 0.0:
        return (
            1.0 if low is not None and value < low else 0.0,
            1.0 if high is not None and value > high else 0.0,
        )
    return (
        0.0 if low is None else normal_below((low - value) / u),
        0.0 if high is None else normal_below((value - high) / u),
    )
