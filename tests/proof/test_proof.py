"""The search against the exact optimum, and a small run of the proof; the whole one is tests/proof/plan.py."""

import pytest
from sparkgap.diagnosis import optimum, plan, policy_cost, specialise

from tests.diagnosis.models import QUALIFIED, random_model
from tests.proof.plan import main, measure, met, paired, scripts

SOLVE = """(sm, evidence, sizes) => {
  const space = new Sparkgap.plan.Space(sm, evidence);
  return Sparkgap.proof.solve(space, space.start(evidence), 5, 1e-7, sizes, 4);
}"""
FOLLOW = """(sm, evidence) => {
  const space = new Sparkgap.plan.Space(sm, evidence);
  return Sparkgap.proof.followed(space, space.start(evidence));
}"""
SMALL = ["tank-hot-lukewarm-tap", "water-discoloured-or-gritty", "water-heater-leaks", "water-smells"]


@pytest.fixture(scope="module")
def js():
    return scripts()


def without_free(seed):
    """A random symptom where nothing is free: the search starts once the free questions are answered."""
    compiled = random_model(seed, faults=4, checks=3, remedies=3, plain=True, call_minutes=400.0, back_minutes=900.0)
    for check in compiled["checks"]:
        check["free"] = False
    return specialise(compiled, {})


@pytest.mark.parametrize("sizes", [[], [2], [2, 4]])
def test_the_search_finds_the_optimum(js, sizes):
    evidence = {"who": QUALIFIED}
    values = []
    for seed in range(40):
        sm = without_free(seed)
        best = optimum(sm, evidence)
        got = js.call(SOLVE, sm, evidence, sizes)
        assert got["lo"] <= best + 1e-6 * best + 1e-9, seed
        assert got["hi"] >= best - 1e-6 * best - 1e-9, seed
        assert got["hi"] - got["lo"] <= 1e-6 * best + 1e-9, seed
        values.append(best)
    assert len({round(value, 6) for value in values}) > 30


def test_following_the_plan_costs_what_the_yardstick_says(js):
    evidence = {"who": QUALIFIED}
    for seed in range(20):
        sm = without_free(seed)
        low, high = js.call(FOLLOW, sm, evidence)
        cost = policy_cost(sm, evidence)
        assert low - 1e-9 <= cost <= high * 1.001 + 1e-9
        assert high - low <= 0.05 * cost + 1e-9
        assert plan(sm, evidence)["value"] <= 1.2 * high


@pytest.mark.parametrize("symptom", SMALL)
def test_the_plan_lies_between_the_optimum_and_the_other_ways(js, knowledge, symptom):
    told = measure(js, knowledge, symptom, samples=2, seed=1, seconds=4.0)
    low, high = told["optimum"]
    assert 0.0 < low <= high <= told["ours"] + 1e-9
    assert told["ours"] <= 1.01 * told["repairs"] and told["ours"] <= 1.01 * told["page"]
    exact = [row for row in told["rows"] if met(row["optimum"])]
    assert exact, "not even one sample was solved in the time"
    for row in exact:
        assert row["plan"][1] <= 1.05 * row["optimum"][1]


def test_the_same_seed_draws_the_same_answers(js, knowledge):
    first, again, other = (measure(js, knowledge, "water-smells", 1, seed, 0.2) for seed in (1, 1, 2))
    assert first["repairs"] == again["repairs"] != other["repairs"]


def test_paired_ratios_by_hand():
    assert paired([2.0, 4.0], [1.0, 2.0]) == [2.0, 0.0]
    ratio, error = paired([1.0, 3.0], [1.0, 1.0])
    assert (ratio, error) == (2.0, pytest.approx(1.0))
    assert paired([3.0], [2.0]) == [1.5, None]


def test_an_unknown_symptom_is_refused(capsys):
    assert main(["--symptoms", "does-not-exist"]) == 2
    assert capsys.readouterr().err == "no such symptom: does-not-exist\n"

