"""The exact yardstick against the recursion written out, and the plan against the yardstick."""

from itertools import permutations

import pytest
from sparkgap.diagnosis import TooLarge, optimum, plan, policy_cost, procedure_order_cost, specialise

from tests.diagnosis.models import QUALIFIED, check, model, random_model, remedy
from tests.diagnosis.reference import Reference

EVIDENCE = {"who": QUALIFIED}
DEEP = {"look_ahead": 12, "look_ahead_limit": float("inf")}


def tiny(seed, **constants):
    return specialise(random_model(seed, faults=3, checks=2, remedies=2, plain=True, **constants), {})


@pytest.mark.parametrize("seed", range(80))
def test_optimum_equals_the_recursion_written_out(seed):
    sm = tiny(seed)
    assert optimum(sm, EVIDENCE) == pytest.approx(Reference(sm, QUALIFIED).value(sm["prior"]), abs=1e-9)


@pytest.mark.parametrize("seed", range(80))
def test_a_plan_that_looks_to_the_end_is_optimal(seed):
    sm = tiny(seed, **DEEP)
    best = optimum(sm, EVIDENCE)
    assert plan(sm, EVIDENCE)["value"] == pytest.approx(best, abs=1e-9)
    assert policy_cost(sm, EVIDENCE) == pytest.approx(best, abs=1e-9)


def test_following_the_plan_is_never_better_than_the_optimum_and_mostly_as_good():
    excess = []
    for seed in range(100, 160):
        sm = specialise(random_model(seed, faults=3, checks=3, remedies=3, plain=True), {})
        best, followed = optimum(sm, EVIDENCE), policy_cost(sm, EVIDENCE)
        assert followed >= best - 1e-9
        excess.append(followed / best - 1 if best > 0 else 0.0)
    assert sum(excess) / len(excess) < 0.01
    assert max(excess) < 0.15


def test_open_accesses_and_results_are_part_of_the_state():
    sm = tiny(3)
    gid = sm["checks"][0]["id"]
    answer = sm["checks"][0]["answers"][0]
    evidence = {**EVIDENCE, "open": ["cover", "tube"], "results": {gid: {"v": {answer: 1.0}}}}
    rows = sm["checks"][0]["rows"]
    joint = {h: p * rows.get(h, rows["*"])[0] for h, p in sm["prior"].items()}
    p = {h: share / sum(joint.values()) for h, share in joint.items()}
    blocks = sm["checks"][0]["first"] and answer in sm["checks"][0]["blocks"]
    expected = Reference(sm, QUALIFIED).value(
        p,
        opened=frozenset({"cover", "tube"}),
        made=frozenset({gid}),
        blocked=frozenset({gid} if blocks else ()),
        unsafe=sm["checks"][0]["safety"] and answer != "within",
    )
    assert optimum(sm, evidence) == pytest.approx(expected, abs=1e-9)


REPAIRS = {1: (0.35, 30.0), 2: (0.25, 5.0), 3: (0.20, 20.0), 4: (0.15, 2.0), 5: (0.05, 10.0)}


def repairs():
    return specialise(
        model(
            faults={f"fault-{n}": p for n, (p, _) in REPAIRS.items()},
            remedies=[remedy(f"fit-{n}", [f"fault-{n}"], c) for n, (_, c) in REPAIRS.items()],
            normal=0.0,
            other=0.0,
            call_minutes=1e6,
            back_minutes=1e6,
        ),
        {},
    )


def sequence(sm):
    failed, order = [], []
    while len(order) < 5:
        best = plan(sm, {"failed": failed})["next"][0]
        order.append(int(best["id"][-1]))
        failed.append(best["id"])
    return order


def test_repairs_go_by_chance_per_minute_as_all_permutations_confirm():
    costs = {}
    for order in permutations(REPAIRS):
        left, costs[order] = 1.0, 0.0
        for n in order:
            costs[order] += left * REPAIRS[n][1]
            left -= REPAIRS[n][0]
    best = min(costs, key=costs.get)
    assert len(costs) == 120
    assert (best, round(costs[best], 9)) == ((4, 2, 1, 3, 5), 29.75)
    assert sequence(repairs()) == [4, 2, 1, 3, 5]
    assert plan(repairs(), {})["value"] == pytest.approx(29.75, abs=1e-9)
    assert optimum(repairs(), {}) == pytest.approx(29.75, abs=1e-9)
    assert policy_cost(repairs(), {}) == pytest.approx(29.75, abs=1e-9)


def test_too_large_a_model_is_refused():
    sm = specialise(random_model(1, faults=6, checks=12, remedies=12, plain=True), {})
    with pytest.raises(TooLarge, match="states, more than 1000"):
        optimum(sm, EVIDENCE, limit=1000)


def test_cost_of_the_checks_in_the_order_of_the_page():
    sm = specialise(
        model(
            faults={"a": 0.5, "b": 0.5},
            normal=0.0,
            other=0.0,
            checks=[
                check("p/one", {"*": [0.0, 1.0], "a": [1.0, 0.0]}, minutes=4.0),
                check("p/two", {"*": [0.0, 1.0], "b": [1.0, 0.0]}, minutes=6.0),
            ],
            remedies=[remedy("p/fit-a", ["a"], 10.0), remedy("p/fit-b", ["b"], 20.0)],
        ),
        {},
    )
    assert procedure_order_cost(sm, {}, ["p/one", "p/two"]) == pytest.approx(4 + 0.5 * 10 + 0.5 * (6 + 20))
    assert procedure_order_cost(sm, {}, ["p/two", "p/one"]) == pytest.approx(6 + 0.5 * 20 + 0.5 * (4 + 10))
    assert procedure_order_cost(sm, {}, ["p/one"]) == pytest.approx(4 + 0.5 * 10 + 0.5 * 20)
    assert optimum(sm, {}) == pytest.approx(4 + 0.5 * 10 + 0.5 * 20)
