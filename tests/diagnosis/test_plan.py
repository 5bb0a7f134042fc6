"""What is offered, in which order, at what cost, and what has to wait."""

import pytest
from sparkgap.diagnosis import guide, plan, specialise

from tests.diagnosis.models import check, found, model, random_model, remedy

TELLS = {"*": [0.05, 0.95], "a": [0.98, 0.02]}
ACCESS = {"bay": {"open": 2.0, "close": 1.0}, "cover": {"open": 3.0, "close": 4.0}, "tube": {"open": 8.0, "close": 9.0}}


def narrowed(checks=(), remedies=(), **keys):
    parts = {"faults": {"a": 1.0, "b": 1.0}, "access": ACCESS, "call_minutes": 400.0, "back_minutes": 800.0}
    remedies = remedies or [remedy("fit-a", ["a"]), remedy("fit-b", ["b"], 40.0)]
    return specialise(model(checks=checks, remedies=remedies, **{**parts, **keys}), {})


def offered(sm, evidence=None):
    return [step["id"] for step in plan(sm, evidence or {})["next"] if step["kind"] in ("check", "remedy")]


def step(sm, name, evidence=None):
    return next(one for one in plan(sm, evidence or {})["next"] if one["id"] == name)


# ---- what has to wait ----

FREE = check("look", {"*": [0.1, 0.9], "b": [0.5, 0.5]}, tier=0, minutes=2.0)
LONG_LOOK = check("watch", {"*": [0.1, 0.9], "b": [0.6, 0.4]}, tier=0, minutes=11.0)
GAS = check("open-gas", TELLS, tier=3, minutes=1.0)
WATER = check("water", {"*": [0.02, 0.98], "b": [0.3, 0.7]}, tier=1, minutes=1.0, first=True, blocks=["bad"])


def test_nothing_above_tier_0_while_a_free_check_is_open():
    sm = narrowed([FREE, LONG_LOOK, GAS])
    got = plan(sm, {})
    assert sorted(offered(sm)) == ["look", "watch"]
    assert got["pending_free"] == ["look"]
    assert {one["kind"] for one in got["next"]} == {"check", "call", "normal"}


@pytest.mark.parametrize("evidence", [found(look="ok"), {"aside": ["look"]}])
def test_a_free_check_answered_or_set_aside_opens_the_way(evidence):
    sm = narrowed([FREE, LONG_LOOK, GAS])
    assert sorted(offered(sm, evidence)) == ["fit-a", "fit-b", "open-gas", "watch"]
    assert plan(sm, evidence)["pending_free"] == []


def test_what_must_come_first_comes_first():
    sm = narrowed([WATER, LONG_LOOK, GAS])
    assert sorted(offered(sm)) == ["watch", "water"]
    assert plan(sm, {})["pending_first"] == ["water"]
    assert sorted(offered(sm, found(water="ok"))) == ["fit-a", "fit-b", "open-gas", "watch"]


def test_a_first_check_of_a_higher_tier_waits_for_the_free_ones():
    assert offered(narrowed([WATER, FREE, GAS])) == ["look"]


def test_a_blocking_answer_blocks_and_the_check_is_offered_again():
    sm = narrowed([WATER, LONG_LOOK, GAS])
    blocked = found(water="bad")
    assert offered(sm, blocked) == ["water"]  # what else there is to ask waits until that is put right
    assert plan(sm, blocked)["pending_first"] == ["water"]
    again = step(sm, "water", blocked)
    assert again["again"] is True
    assert again["answers"] == {
        "ok": {"p": pytest.approx(1.0, abs=1e-12), "lead": "b", "share": pytest.approx(0.135 / 0.146, abs=1e-12)}
    }
    assert step(sm, "water")["again"] is False


def test_a_result_that_is_mostly_blocking_blocks():
    sm = narrowed([WATER, GAS])
    for share, pending in ((0.5, ["water"]), (0.49, [])):
        evidence = {"results": {"water": {"v": {"bad": share, "ok": 1 - share}}}}
        assert plan(sm, evidence)["pending_first"] == pending


def test_first_checks_are_asked_in_their_order_before_the_free_ones():
    firsts = [
        check("z-tank", {"*": [0.1, 0.9], "b": [0.2, 0.8]}, tier=0, minutes=3.0, first=True, place=0),
        check("a-flow", {"*": [0.1, 0.9], "a": [0.9, 0.1]}, tier=0, minutes=1.0, first=True, place=1),
    ]
    sm = narrowed([*firsts, FREE])
    assert offered(sm) == ["z-tank", "a-flow", "look"]
    assert offered(sm, found(**{"z-tank": "ok"})) == ["a-flow", "look"]


def test_nobody_is_sent_away_while_a_look_is_open():
    sm = narrowed([WATER, FREE], call_minutes=1.0)
    for evidence, due in (({}, "look"), (found(look="ok"), "water")):
        got = plan(sm, evidence)
        assert got["next"][0]["id"] == due
        assert got["next"][-1]["kind"] in ("call", "normal")
        assert got["value"] == pytest.approx(got["next"][0]["value"], abs=1e-9) and got["value"] > 1.0
    assert plan(sm, found(look="ok", water="ok"))["next"][0]["id"] == "call"


def test_setting_a_first_check_aside_clears_nothing():
    sm = narrowed([WATER, LONG_LOOK, GAS])
    assert offered(sm, {"aside": ["water"]}) == ["watch"]
    assert plan(sm, {"aside": ["water"]})["pending_first"] == ["water"]


def test_a_first_check_beyond_a_persons_qualification_still_blocks():
    sm = narrowed([{**WATER, "who": ["technician"]}, GAS])
    assert offered(sm) == []
    assert plan(sm, {})["next"][0]["kind"] in ("call", "normal")
    assert plan(sm, {})["needs_qualified"] == [{"kind": "check", "id": "water", "needs": ["technician"]}]


def test_what_waits_is_valued_as_a_way_to_the_repair_not_as_a_dead_end():
    looks = [check(f"look-{n}", {"*": [0.1, 0.9], "b": [0.2, 0.8]}, tier=0, minutes=1.0) for n in range(5)]
    got = plan(narrowed(looks), {})
    assert got["next"][0]["kind"] == "check"
    assert got["value"] < 100


@pytest.mark.parametrize("seed", range(40))
def test_no_act_is_ever_offered_against_the_constraints(seed):
    compiled = random_model(seed, checks=5, remedies=3)
    got = guide(compiled, {}, {"who": ["technician"]})
    checks = {c["id"]: c for c in compiled["checks"]}
    acts = {**checks, **{r["id"]: r for r in compiled["remedies"]}}
    for one in got["next"]:
        if one["kind"] in ("call", "normal"):
            continue
        assert set(acts[one["id"]]["who"]) <= {"technician"}
        if got["pending_free"]:
            assert one["id"] in checks
            assert one["tier"] == 0
        if got["pending_first"]:
            assert one["id"] in checks
            assert one["tier"] == 0 or checks[one["id"]]["first"]


# ---- who ----


def test_an_act_needs_all_its_qualifications_and_no_rank_stands_for_another():
    sm = narrowed([{**GAS, "who": ["gas-qualified", "technician"]}])
    assert "open-gas" not in offered(sm, {"who": ["technician"]})
    assert "open-gas" not in offered(sm, {"who": ["gas-qualified", "electrical-qualified"]})
    assert "open-gas" in offered(sm, {"who": ["gas-qualified", "technician"]})
    assert plan(sm, {"who": ["technician"]})["needs_qualified"] == [
        {"kind": "check", "id": "open-gas", "needs": ["gas-qualified"]}
    ]


def test_a_plan_does_not_count_on_acts_that_the_person_may_not_do():
    trade = [remedy("fit-a", ["a"], who=["technician"]), remedy("fit-b", ["b"], who=["technician"])]
    sm = narrowed(remedies=trade, call_minutes=120.0)
    assert plan(sm, {})["value"] == 120.0
    # fit-a and the unneeded part in a sound unit, then fit-b for the half that is left, then a call
    assert plan(sm, {"who": ["technician"]})["value"] == pytest.approx(10 + 0.05 * 800 + 0.5 * (10 + 0.1 * 120))


def test_what_is_set_aside_is_not_offered():
    sm = narrowed([GAS])
    assert offered(sm, {"aside": ["open-gas", "fit-a"]}) == ["fit-b"]


# ---- accesses ----


def test_the_first_act_behind_a_cover_opens_it_and_the_next_finds_it_open():
    act = check("spark", TELLS, access=["cover", "tube"], minutes=5.0)
    sm = narrowed([act])
    assert step(sm, "spark")["cost"] == 5 + 3 + 8
    assert step(sm, "spark", {"open": ["cover"]})["cost"] == 5 + 8
    assert step(sm, "spark", {"open": ["cover", "tube"]})["cost"] == 5


def test_sharing_an_access_makes_a_plan_cheaper():
    def value(access):
        acts = [remedy("fit-a", ["a"], access=["cover"]), remedy("fit-b", ["b"], 40.0, access=[access])]
        return plan(narrowed(remedies=acts), {})["value"]

    apart = {**ACCESS, "lid": ACCESS["cover"]}
    own = [remedy("fit-a", ["a"], access=["cover"]), remedy("fit-b", ["b"], 40.0, access=["lid"])]
    # fit-a is tried first, fit-b where it failed (0.5): then the lid is opened and closed besides the cover
    saved = plan(narrowed(remedies=own, access=apart), {})["value"] - value("cover")
    assert saved == pytest.approx(0.5 * (3 + 4), abs=1e-9)


def test_a_proof_that_closes_an_access_charges_closing_it_and_all_inside():
    act = remedy("fit-a", ["a"], access=["cover", "tube"], proof_minutes=6.0, proof_closes=["cover"])
    sm = narrowed(remedies=[act])
    assert step(sm, "fit-a")["cost"] == 10 + (3 + 8) + (4 + 9) + 6
    assert step(sm, "fit-a", {"open": ["cover", "tube"]})["cost"] == 10 + (4 + 9) + 6
    open_end = narrowed(remedies=[{**act, "proof_closes": []}])
    assert step(open_end, "fit-a")["cost"] == 10 + (3 + 8) + 6


def test_the_end_closes_what_is_open():
    sm = narrowed()
    assert step(sm, "call", {"open": ["cover", "bay"]})["value"] == 400 + 4 + 1
    assert step(sm, "normal", {"open": ["cover"]})["value"] == pytest.approx(0.95 * 800 + 4, abs=1e-9)


def test_an_access_stated_to_lie_inside_is_closed_with_the_outer_one():
    inner = {**ACCESS, "pan": {"open": 1.0, "close": 2.5, "inside": "cover"}}
    sm = narrowed([check("fire", TELLS, closes=["cover"], minutes=5.0)], access=inner)
    assert step(sm, "fire", {"open": ["cover", "pan"]})["cost"] == 5 + 4 + 2.5


# ---- values ----


def test_the_value_of_a_remedy_by_hand():
    price = [{"when": [], "usd": 25.0, "wait_minutes": 15.0}]
    act = remedy("fit-a", ["a"], 20.0, price=price, proof_minutes=12.0, misses=0.1, fails=0.2)
    sm = narrowed(remedies=[act])
    p, cost = {"a": 0.45, "b": 0.45, "normal": 0.05, "other": 0.05}, 20 + 25 / 150 * 60 + 15 + 12
    standing = p["a"] * 0.2 + p["b"] + p["other"]
    expected = cost + 800 * (0.1 * standing + p["normal"]) + 0.9 * standing * 400
    got = step(sm, "fit-a")
    assert (got["cost"], got["value"]) == (cost, pytest.approx(expected, abs=1e-9))
    assert got["fixes"] == pytest.approx(0.45 * 0.8, abs=1e-12)
    assert got["clears"] == 1


def test_the_value_of_a_check_by_hand():
    sm = narrowed([check("tell", {"*": [0.0, 1.0], "a": [1.0, 0.0]}, minutes=3.0)], normal=0.0, other=0.0, look_ahead=1)
    got = step(sm, "tell")
    assert got["value"] == pytest.approx(3 + 0.5 * 10 + 0.5 * 40, abs=1e-9)
    assert got["answers"] == {
        "bad": {"p": 0.5, "lead": "a", "share": 1.0},
        "ok": {"p": 0.5, "lead": "b", "share": 1.0},
    }
    assert got["clears"] == 1


def test_a_check_that_tells_nothing_is_not_worth_its_minutes():
    sm = narrowed([check("idle", {"*": [0.5, 0.5], "a": [0.5, 0.5]}, minutes=3.0)])
    assert plan(sm, {})["next"][0]["id"] == "fit-a"
    assert step(sm, "idle")["value"] == pytest.approx(plan(sm, {})["value"] + 3, abs=1e-9)


def test_a_unit_that_is_likely_sound_is_handed_back():
    sm = narrowed(normal=0.97, other=0.01)
    got = plan(sm, {})
    assert got["next"][0]["kind"] == "normal"
    assert got["value"] == pytest.approx(0.03 * 800, abs=1e-9)


SAFETY = {"names": ["x"], "safety": True, "limits": [{"when": [], "low": 1.0, "high": 2.0}]}
PRESSURE = check(
    "pressure",
    {"*": [0.02, 0.02, 0.96], "a": [0.4, 0.4, 0.2]},
    ("above", "below", "within"),
    clear="within",
    measure=SAFETY,
)


@pytest.mark.parametrize(
    ("v", "back"),
    [
        ({"within": 1.0}, True),
        ({"within": 0.95, "above": 0.05}, True),
        ({"within": 0.94, "above": 0.06}, False),
        ({"below": 1.0}, False),
    ],
)
def test_no_unit_is_handed_back_on_a_safety_reading_that_is_not_surely_within(v, back):
    sm = narrowed([PRESSURE], normal=0.97, other=0.01)
    kinds = [one["kind"] for one in plan(sm, {"results": {"pressure": {"v": v}}})["next"]]
    assert ("normal" in kinds) is back


def test_a_first_safety_reading_too_close_to_call_blocks():
    act = {**PRESSURE, "first": True, "blocks": ["above", "below"]}
    sm = narrowed([act])
    for within, pending in ((0.96, []), (0.94, ["pressure"])):
        evidence = {"results": {"pressure": {"v": {"within": within, "above": 1 - within}}}}
        assert plan(sm, evidence)["pending_first"] == pending


# ---- order and depth ----


def test_ties_go_by_tier_then_minutes_then_id_and_stops_come_last():
    acts = [
        remedy("fit-d", ["a"], 10.0, tier=2),
        remedy("fit-c", ["a"], 6.0, proof_minutes=4.0, tier=2),
        remedy("fit-b", ["a"], 10.0, tier=1),
        remedy("fit-a", ["a"], 10.0, tier=2),
    ]
    sm = narrowed(remedies=acts, faults={"a": 1.0}, normal=0.0, other=0.0)
    assert offered(sm) == ["fit-b", "fit-c", "fit-a", "fit-d"]
    level = narrowed(remedies=[remedy("fit", ["a"], 10.0)], faults={"a": 1.0}, normal=0.0, other=0.0, call_minutes=10.0)
    assert [one["id"] for one in plan(level, {})["next"]] == ["fit", "call", "normal"]
    cheaper = narrowed(
        remedies=[remedy("fit", ["a"], 10.0)], faults={"a": 1.0}, normal=0.0, other=0.0, call_minutes=9.9
    )
    assert plan(cheaper, {})["next"][0]["id"] == "call"


def test_values_that_differ_by_less_than_the_tolerance_tie():
    acts = [remedy("fit-b", ["a"], 10.0), remedy("fit-a", ["a"], 10.0 + 5e-9, tier=0)]
    assert offered(narrowed(remedies=acts, faults={"a": 1.0}, normal=0.0, other=0.0))[0] == "fit-a"
    acts = [remedy("fit-b", ["a"], 10.0), remedy("fit-a", ["a"], 10.0 + 5e-8, tier=0)]
    assert offered(narrowed(remedies=acts, faults={"a": 1.0}, normal=0.0, other=0.0))[0] == "fit-b"


def test_the_look_ahead_is_cut_step_by_step_where_the_search_would_grow_too_large():
    sm = narrowed([GAS, LONG_LOOK])
    acts = 4 * 3  # hypotheses, remedies and one
    two, three = 4**2 * acts, 4**3 * acts
    for steps, limit, depth in ((2, two, 2), (2, two - 1, 1), (3, three, 3), (3, three - 1, 2), (3, two - 1, 1)):
        sm["constants"].update(look_ahead=steps, look_ahead_limit=limit)
        assert plan(sm, {})["depth"] == depth


def test_each_remedy_is_tried_once():
    assert offered(narrowed(), {"failed": ["fit-a"]}) == ["fit-b"]


def test_the_guide_puts_all_answers_together():
    compiled = model(faults={"a": 1.0, "b": 1.0}, checks=[GAS], remedies=[remedy("fit-a", ["a"])])
    compiled["faults"][1]["when"] = [{"name": "ignition", "any": ["pilot"]}]
    got = guide(compiled, {}, {})
    assert got["missing"] == ["ignition"]
    assert sorted(got) == [
        "belief",
        "conflict",
        "depth",
        "missing",
        "needs_qualified",
        "next",
        "pending_first",
        "pending_free",
        "two",
        "value",
    ]
    assert got["value"] == min(one["value"] for one in got["next"])
