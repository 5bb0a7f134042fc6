"""Readings against limits: the shared vectors in both languages, and the error function against math's."""

import json
import math
from pathlib import Path
from statistics import NormalDist

import pytest
from sparkgap import verdict
from sparkgap.verdict import Instrument, erfc, judge, judge_expression, settles

from tests.js import engine

EVERY = json.loads((Path(__file__).parent / "vectors" / "verdict.json").read_text(encoding="utf-8"))
VECTORS = [case for case in EVERY if "expect" in case]
REFUSED = [case for case in EVERY if "refused" in case]
MESSAGE = "(given) => { try { Sparkgap.verdict.judge(...given); } catch (e) { return e.message; } }"
METER = {"resolution": 0.1, "accuracy": {"fixed": 0.05, "percent": 1.0, "digits": 2.0}}


@pytest.fixture(scope="module")
def js():
    return engine("verdict.js")


def _python(case):
    options = case.get("options", {})
    return judge(case["reading"], case["instrument"], case["low"], case["high"], **options).as_json()


def _same(got, expected):
    for name, value in expected.items():
        assert got[name] == (pytest.approx(value, abs=1e-12) if isinstance(value, float) else value), name


@pytest.mark.parametrize("case", VECTORS, ids=lambda case: case["name"])
def test_vectors_in_python(case):
    _same(_python(case), case["expect"])


@pytest.mark.parametrize("case", VECTORS, ids=lambda case: case["name"])
def test_vectors_in_javascript(js, case):
    got = js.call(
        "Sparkgap.verdict.judge",
        case["reading"],
        case["instrument"],
        case["low"],
        case["high"],
        case.get("options", {}),
    )
    _same(got, case["expect"])


@pytest.mark.parametrize("case", REFUSED, ids=lambda case: case["name"])
def test_a_reading_that_the_instrument_cannot_show_is_refused_in_both_languages(js, case):
    with pytest.raises(ValueError) as refusal:
        _python(case)
    assert str(refusal.value) == case["refused"]
    given = [case["reading"], case["instrument"], case["low"], case["high"]]
    assert js.call(MESSAGE, given) == case["refused"]


def test_every_vector_expects_something():
    assert len(VECTORS) + len(REFUSED) == len(EVERY) and len(REFUSED) >= 5


def test_one_of_several_readings_beyond_its_instrument_refuses_the_sum(js):
    meter = {"resolution": 0.01, "low": 0.0, "high": 60.0, "accuracy": {}}
    with pytest.raises(ValueError, match="above what this instrument can show"):
        judge_expression(lambda x: x["off"] - x["on"], {"off": (64.0, meter), "on": (12.0, meter)}, None, 0.5)
    script = """(meter) => { try { Sparkgap.verdict.judgeExpression((x) => x.off - x.on,
        { off: { value: 64, instrument: meter }, on: { value: 12, instrument: meter } }, null, 0.5); }
        catch (e) { return e.message; } }"""
    assert js.call(script, meter) == "the reading lies above what this instrument can show"


def test_an_instrument_that_cannot_show_the_reading_settles_nothing(js):
    tools = {"short": {"low": 0.0, "high": 10.0}, "long": {"low": 0.0, "high": 20.0}}
    assert settles(11.1, tools, 11.0, None) == ["long"]
    assert js.call("Sparkgap.verdict.settles", 11.1, tools, 11.0, None) == ["long"]


def test_error_function_in_both_languages(js):
    points = [n / 200 for n in range(-1400, 5601)]
    in_js = js.call("(points) => points.map(Sparkgap.verdict.erfc)", points)
    worst = max(abs(erfc(x) - math.erfc(x)) for x in points)
    apart = max(abs(erfc(x) - other) for x, other in zip(points, in_js, strict=True))
    assert worst < 1e-12
    assert apart < 1e-12
    assert all(erfc(x) == pytest.approx(math.erfc(x), rel=1e-10) for x in points if 0 < x < 26)


def test_uncertainty_adds_all_parts_of_the_accuracy():
    # a = 0.05 + 1 % of 20 + 2 steps of 0.1 = 0.45; u = √((0.45² + 0.05²)/3)
    assert verdict.standard_uncertainty(-20.0, METER) == pytest.approx(math.sqrt((0.45**2 + 0.05**2) / 3), rel=1e-15)
    assert Instrument.from_json(METER) == Instrument(resolution=0.1, fixed=0.05, percent=1.0, digits=2.0)


def test_probabilities_are_those_of_the_normal_distribution_about_the_reading():
    about = NormalDist(11.2, verdict.standard_uncertainty(11.2, METER))
    got = judge(11.2, METER, 11.0, 11.5)
    assert got.v_below == pytest.approx(about.cdf(11.0), abs=1e-12)
    assert got.v_above == pytest.approx(1 - about.cdf(11.5), abs=1e-12)
    assert got.v_within == pytest.approx(about.cdf(11.5) - about.cdf(11.0), abs=1e-12)
    assert got.verdict == "too-close"


def test_a_reading_too_close_is_held_only_where_safety_is_at_stake():
    assert judge(11.0, METER, 11.0, None).held is False
    assert judge(11.0, METER, 11.0, None, safety=True).held is True
    assert judge(14.0, METER, 11.0, None, safety=True).held is False
    assert judge(5.0, METER, 11.0, None, safety=True).held is True


def test_within_on_a_limit_from_memory_says_so():
    assert judge(14.0, METER, 11.0, None, source_kind="memory").on_memory is True
    assert judge(14.0, METER, 11.0, None, source_kind="standard").on_memory is False
    assert judge(5.0, METER, 11.0, None, source_kind="memory").on_memory is False


def test_the_wanted_probability_can_be_stated():
    close = judge(11.5, METER, 11.0, None)
    assert close.v_within == pytest.approx(NormalDist().cdf(0.5 / math.sqrt((0.365**2 + 0.05**2) / 3)), abs=1e-12)
    assert close.verdict == "within"
    assert judge(11.5, METER, 11.0, None, conformity=0.999).verdict == "too-close"


@pytest.mark.parametrize(("share", "said"), [(0.9501, "within"), (0.9499, "too-close")])
def test_a_band_is_named_from_the_wanted_probability_on(js, share, said):
    reading = 11.0 + NormalDist().inv_cdf(share) * 0.3 / math.sqrt(3)
    meter = {"accuracy": {"fixed": 0.3}}
    assert judge(reading, meter, 11.0, None).verdict == said
    assert js.call("Sparkgap.verdict.judge", reading, meter, 11.0, None)["verdict"] == said


def test_settles_names_the_instruments_that_would_decide():
    tools = {"fine": {"resolution": 0.01}, "coarse": METER, "exact": None}
    assert settles(11.1, tools, 11.0, None) == ["exact", "fine"]


def test_settles_in_javascript(js):
    tools = {"fine": {"resolution": 0.01}, "coarse": METER, "exact": None}
    assert js.call("Sparkgap.verdict.settles", 11.1, tools, 11.0, None) == ["exact", "fine"]


def test_a_difference_of_two_readings_has_the_uncertainty_of_both():
    one, other = {"accuracy": {"fixed": 0.3}}, {"accuracy": {"fixed": 0.4}}
    got = judge_expression(lambda x: x["open"] - x["load"], {"open": (12.6, one), "load": (12.1, other)}, None, 0.5)
    assert got.uncertainty == pytest.approx(0.5 / math.sqrt(3), rel=1e-12)
    assert got.value == pytest.approx(0.5, rel=1e-12)
    assert got.v_above == pytest.approx(0.5, abs=1e-9)


def test_a_power_from_voltage_and_resistance_is_propagated_by_differences():
    u_v, u_r = 1.0 / math.sqrt(3), 0.1 / math.sqrt(3)
    tools = {"volts": (118.0, {"accuracy": {"fixed": 1.0}}), "ohms": (10.0, {"accuracy": {"fixed": 0.1}})}
    got = judge_expression(lambda x: x["volts"] * x["volts"] / x["ohms"], tools, 1250.0, None)
    by_volts = ((118 + u_v) ** 2 - (118 - u_v) ** 2) / 20
    by_ohms = (118**2 / (10 + u_r) - 118**2 / (10 - u_r)) / 2
    assert got.uncertainty == pytest.approx(math.hypot(by_volts, by_ohms), rel=1e-12)
    assert got.verdict == "within"


def test_expressions_agree_in_both_languages(js):
    readings = {"volts": (118.0, METER), "ohms": (10.0, METER), "exact": (2.0, None)}
    python = judge_expression(
        lambda x: x["volts"] * x["volts"] / x["ohms"] * x["exact"], readings, 2700.0, 2900.0, safety=True
    ).as_json()
    shown = {name: {"value": value, "instrument": tool} for name, (value, tool) in readings.items()}
    script = """(readings) => Sparkgap.verdict.judgeExpression(
        (x) => x.volts * x.volts / x.ohms * x.exact, readings, 2700, 2900, {safety: true})"""
    _same(js.call(script, shown), python)
    assert python["verdict"] == "too-close"
    assert python["held"] is True


@pytest.mark.parametrize("reading", [math.nan, math.inf])
def test_a_reading_that_is_no_number_is_refused(js, reading):
    with pytest.raises(ValueError, match="finite number"):
        judge(reading, METER, 0.0, 1.0)
    assert js.call(MESSAGE, ["12 V", None, 0, 1]) == "a reading must be a finite number"


def test_limits_in_the_wrong_order_are_refused(js):
    with pytest.raises(ValueError, match="lower limit lies above"):
        judge(1.0, None, 2.0, 1.0)
    assert js.call(MESSAGE, [1, None, 2, 1]) == "the lower limit lies above the upper limit"


def test_a_judgement_becomes_evidence(js):
    weights = judge(11.2, METER, 11.0, 11.5).evidence()
    assert list(weights) == ["below", "within", "above"]
    assert sum(weights.values()) == pytest.approx(1.0, abs=1e-12)
    script = "(meter) => Sparkgap.verdict.evidence(Sparkgap.verdict.judge(11.2, meter, 11.0, 11.5))"
    assert js.call(script, METER) == pytest.approx(weights, abs=1e-12)
