"""What closed jobs teach: which count, what the weights become, and how predictions are held against the truth.

The invented jobs come from demo_jobs.py, drawn from the model, so that what must be learned is known.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from dataclasses import replace

import pytest
from scipy import optimize, stats
from sparkgap.jobs.learn import learn, scores
from sparkgap.jobs.learn_beta import distribution, quantile, share_interval
from sparkgap.jobs.learn_cases import sort_jobs
from sparkgap.jobs.learn_score import calibration, evidence_before_repair, range_of_sum
from sparkgap.jobs.learn_weights import (
    Counts,
    Prior,
    Units,
    learned_shares,
    prior_of,
    rounded,
    rows,
    weights_now,
    written_weights,
)

from tests.jobs.demo_jobs import SYMPTOMS, DemoShop
from tests.jobs.jobs import AT, answer, job
from tests.loaded import base

SMALL = ("tank-hot-lukewarm-tap", "no-heat-on-electric")
SEEN = answer("pump-checks/lights", "bright")
MENDED = {"kind": "done", "id": "pump-checks/mend-ground"}


def closed(number: int, *log: dict, end: str = "repaired", fault: str | None = None, plate: dict | None = None, **keys):
    """A closed job of the small knowledge."""
    return job(*log, **{"id": f"shop-job-{number:04d}", "closed": AT, "symptom": "pump-silent",
                        "unit": {"id": None, "title": "", "plate": plate or {}},
                        "outcome": {"end": end, "fault": fault}, **keys})


def grounds(count: int, **keys) -> list[dict]:
    """So many jobs that mended the ground."""
    return [closed(number, SEEN, MENDED, fault="ground-corroded", **keys) for number in range(count)]


def named(jobs: list[dict]) -> list[tuple[str, dict]]:
    return [(f"{one['id']}.job.json", one) for one in jobs]


def why(one: dict, demo: bool = False) -> str:
    """Why a job does not count; nothing if it does."""
    found = sort_jobs(base(), named([one]), demo)
    assert len(found.cases) + len(found.left_out) == 1
    return found.left_out[0].why if found.left_out else ""


# --- which jobs count -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("one", "truth"), [
    (closed(1, SEEN, MENDED, fault="ground-corroded"), "ground-corroded"),
    (closed(1, MENDED, fault="ground-corroded"), "ground-corroded"),
    (closed(1, {"kind": "failed", "id": "pump-checks/replace-motor"}, MENDED, fault="ground-corroded"),
     "ground-corroded"),
    (closed(1, {"kind": "done", "id": "supply/charge-battery"}, fault="battery-flat"), "battery-flat"),
    (closed(1, {"kind": "done", "id": "pump-checks/fill-tank"}, fault="tank-empty", symptom="lights-dim"), "other"),
    (closed(1, SEEN, end="normal"), "normal"),
    (closed(1, SEEN), "other"),
])
def test_jobs_whose_truth_is_known_count(one, truth):
    assert [case.truth for case in sort_jobs(base(), named([one])).cases] == [truth]


@pytest.mark.parametrize(("one", "words"), [
    (closed(1, outcome=None), "still open"),
    (closed(1, SEEN, end="normal", closed=None), "not closed"),
    (closed(1, SEEN, end="normal", symptom=None), "no symptom was chosen"),
    (closed(1, SEEN, end="normal", symptom="none"), "this knowledge does not have the symptom 'none'"),
    (closed(1, MENDED, fault="none"), "this knowledge does not have the fault 'none'"),
    (closed(1, MENDED, end="left-off", fault="ground-corroded"), "left shut off"),
    (closed(1, SEEN, end="referred"), "handed to somebody else"),
    (closed(1, SEEN, fault="ground-corroded"), "no remedy that ends ground-corroded was carried out and proved"),
    (closed(1, MENDED, fault="tank-empty"), "no remedy that ends tank-empty was carried out and proved"),
    (closed(1, MENDED, {**MENDED, "kind": "failed"}, fault="ground-corroded"), "carried out and proved"),
    (closed(1, SEEN, MENDED, end="normal"), "pump-checks/mend-ground was carried out and proved, and yet no fault"),
    (closed(1, SEEN, end="normal", fault="tank-empty"), "nothing was wrong, and yet the fault tank-empty is named"),
    (closed(1, {**SEEN, "hearsay": True}, end="normal"), "what was told does not decide"),
    (closed(1), "what was told does not decide"),
    (closed(1, {"kind": "done", "id": "pump-checks/replace-motor"}, fault="brushes-worn",
            plate={"motor": "brushless"}), "does not occur on a unit with this data plate"),
    (closed(1, SEEN, end="normal", technician="Demo "), "an invented job"),
    (closed(1, SEEN, end="normal", id="demo-0000001"), "an invented job"),
])
def test_other_jobs_are_left_out_with_the_reason(one, words):
    assert words in why(one)


def test_invented_jobs_count_among_themselves_only():
    assert why(closed(1, SEEN, end="normal", technician="demo"), demo=True) == ""
    assert "only those are counted" in why(closed(1, SEEN, end="normal"), demo=True)


def test_the_same_job_counts_once_and_its_last_state():
    one = closed(1, SEEN, end="normal")
    later = {**one, "changed": AT[:-1] + ".5Z", "outcome": {"end": "repaired", "fault": None}}
    for heap in ([one, one], [later, one, later], [one, later]):
        found = sort_jobs(base(), [(f"{n}.job.json", each) for n, each in enumerate(heap)])
        assert [case.truth for case in found.cases] == ["other" if later in heap else "normal"]
        assert len(found.again) == len(heap) - 1 and found.left_out == []
    assert found.again[0].why == "an older state of a job that another file has"


def test_two_states_of_the_same_moment_are_both_left_out():
    one = closed(1, SEEN, end="normal")
    found = sort_jobs(base(), [("a", one), ("b", {**one, "complaint": "else"}), ("c", closed(2, SEEN, end="normal"))])
    assert [case.id for case in found.cases] == ["shop-job-0002"]
    assert [(out.file, "delete the wrong one" in out.why) for out in found.left_out] == [("a", True), ("b", True)]


# --- the distribution -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("a", [0.001, 0.05, 0.27, 1.0, 2.0, 12.5, 40.0, 5000.0])
@pytest.mark.parametrize("b", [0.01, 0.3, 1.0, 7.0, 40.0, 20000.0])
def test_beta_agrees_with_scipy(a, b):
    for p in (0.001, 0.05, 0.5, 0.95, 0.999):
        assert quantile(p, a, b) == pytest.approx(stats.beta.ppf(p, a, b), abs=1e-6)
    for x in (0.0, 1e-9, 0.01, 0.3, 0.5, 0.9, 1.0):
        assert distribution(x, a, b) == pytest.approx(stats.beta.cdf(x, a, b), abs=1e-9)


def test_beta_at_its_ends():
    assert (quantile(0.05, 0.0, 3.0), quantile(0.05, 3.0, 0.0)) == (0.0, 1.0)


@pytest.mark.parametrize("n", [1, 7, 40])
def test_the_range_of_a_sum_agrees_with_the_binomial(n):
    for p in (0.01, 0.3, 0.9, 1.0):
        low, high = stats.binom.ppf([0.025, 0.975], n, p)
        assert range_of_sum([p] * n, 0.95) == (low, high)


# --- weights --------------------------------------------------------------------------------------------------


def test_judged_weights_become_the_prior():
    prior = prior_of(base(), "pump-silent")
    assert prior.jobs == 40
    assert prior.share == pytest.approx({("share", "normal"): 0.1, ("share", "other"): 0.1,
                                         ("fault", "tank-empty"): 0.8 * 2 / 15, ("fault", "brushes-worn"): 0.8 * 4 / 15,
                                         ("fault", "ground-corroded"): 0.8 * 4 / 15, ("also", "lights-dim"): 0.8 / 3})


def test_counts_are_added_to_the_judged_shares():
    told = learn(base(), named([*grounds(9), closed(9, SEEN, end="normal")])).learned[0]
    share = {row.key: row.after for row in told.rows}
    assert share["fault", "ground-corroded"][0] == pytest.approx((40 * 0.8 * 4 / 15 + 9) / 50)
    assert share["share", "normal"][0] == pytest.approx((40 * 0.1 + 1) / 50)
    assert share["also", "lights-dim"][0] == pytest.approx(40 * 0.8 / 3 / 50)
    assert math.fsum(one[0] for one in share.values()) == pytest.approx(1.0)
    mean, low, high = share["fault", "ground-corroded"]
    assert (low, high) == pytest.approx(tuple(stats.beta.ppf([0.05, 0.95], mean * 50, (1 - mean) * 50)), abs=1e-9)


def test_ten_jobs_move_no_share_by_more_than_a_fifth():
    row = next(row for row in learn(base(), named(grounds(10))).learned[0].rows if row.jobs)
    assert 0.1 < row.after[0] - row.before[0] < 0.2


def test_the_shipped_judgement_weighs_what_its_note_says(knowledge):
    jobs = knowledge.constants["learn_prior_jobs"].amount.si
    assert 10 / (10 + jobs) == pytest.approx(1 / 5) and jobs / (40 + jobs) == pytest.approx(1 / 2)


def test_weights_keep_their_scale_and_never_become_zero():
    told = learn(base(), named(grounds(500))).learned[0]
    weights = {row.key: row.learned for row in told.rows}
    assert min(weights.values()) > 0.0
    assert math.fsum(w for (kind, _), w in weights.items() if kind != "share") == pytest.approx(15, abs=0.02)
    assert (rounded(34.26, 98), rounded(0.0123, 98), rounded(0.0614, 1), rounded(0.00004567, 1), rounded(0, 1)) == \
        (34.3, 0.012, 0.061, 0.000046, 0)


def test_a_weight_stays_within_what_the_schema_takes():
    prior = prior_of(base(), "pump-silent")
    large = Prior(**{**prior.__dict__, "weights": {key: 900.0 if key[0] != "share" else value
                                                   for key, value in prior.weights.items()}})
    shares = {**dict.fromkeys(prior.causes, 0.01), prior.causes[0]: 0.9, ("share", "normal"): 0.05,
              ("share", "other"): 0.02}
    assert max(written_weights(large, shares).values()) == 1000


def test_faults_of_an_included_symptom_change_the_weight_of_the_group():
    jobs = [closed(n, {"kind": "done", "id": "supply/charge-battery"}, fault="battery-flat") for n in range(10)]
    told = learn(base(), named(jobs)).learned
    assert [one.prior.symptom for one in told] == ["pump-silent"]
    row = next(row for row in told[0].rows if row.key == ("also", "lights-dim"))
    assert row.jobs == 10 and row.learned > row.weight == 5


def test_a_unit_that_cannot_have_a_fault_says_nothing_about_it():
    """Brushless pumps leave the part that worn brushes have among the faults, and how surely it is known."""
    jobs = grounds(30, plate={"motor": "brushless"})
    row = next(row for row in learn(base(), named(jobs)).learned[0].rows if row.key == ("fault", "brushes-worn"))
    faults_before, faults_after = 0.8, (40 * 0.8 + 30) / 70
    assert row.before[0] / faults_before == pytest.approx(4 / 15)
    assert row.after[0] / faults_after == pytest.approx(4 / 15)
    ends = stats.beta.ppf([0.05, 0.95], 40 * row.after[0], 40 * (1 - row.after[0]))  # judgement only
    assert row.after[1:] == pytest.approx(tuple(ends), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_truncated_counts_agree_with_a_direct_search(seed):
    """The shares that reproduce themselves are those of the greatest posterior density of the logarithms' softmax."""
    draw = random.Random(seed)
    prior = prior_of(base(), "pump-silent")
    causes = prior.causes
    shown = {(1.0, 1.0, 1.0, 1.0): draw.randrange(30), (1.0, 0.0, 1.0, 1.0): draw.randrange(30),
             (0.5, 1.0, 0.0, 1.0): draw.randrange(30)}
    counts = Counts(Counter({key: draw.randrange(1, 20) for key in causes}), Counter(shown))
    shares = learned_shares(prior, counts)
    rest = 1 - shares["share", "normal"] - shares["share", "other"]
    base_counts = [prior.jobs * prior.share[key] + counts.causes[key] for key in causes]

    def loss(logs):
        total = math.fsum(map(math.exp, logs))
        parts = [math.exp(one) / total for one in logs]
        value = math.fsum(a * math.log(part) for a, part in zip(base_counts, parts, strict=True))
        return -value + math.fsum(n * math.log(math.fsum(p * v for p, v in zip(parts, one, strict=True)))
                                  for one, n in shown.items())

    best = optimize.minimize(loss, [0.0] * 4, method="BFGS", options={"gtol": 1e-8}).x
    total = math.fsum(map(math.exp, best))
    assert [shares[key] / rest for key in causes] == pytest.approx([math.exp(one) / total for one in best], abs=1e-5)


def test_intervals_hold_the_truth_as_often_as_they_say():
    """Shares drawn from the judged distribution, jobs from the shares: 90 % of the intervals hold them."""
    draw = random.Random(4)
    prior = prior_of(base(), "pump-silent")
    keys, full = sorted(prior.share), (1.0,) * len(prior.causes)
    inside = 0
    for _ in range(400):
        parts = [draw.gammavariate(prior.jobs * prior.share[key], 1.0) for key in keys]
        truth = {key: part / math.fsum(parts) for key, part in zip(keys, parts, strict=True)}
        causes = Counter(draw.choices(keys, [truth[key] for key in keys], k=25))
        shares = learned_shares(prior, Counts(causes, Counter({full: sum(causes[key] for key in prior.causes)})))
        key = draw.choice(keys)
        low, high = share_interval(shares[key], prior.jobs + 25, 0.90)
        inside += low <= truth[key] <= high
    low, high = stats.binom.ppf([0.001, 0.999], 400, 0.90)
    assert low <= inside <= high


# --- invented jobs --------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def true_shop(knowledge):
    """Draws from the weights that the guide believes in."""
    return DemoShop(knowledge, 3, look_ahead=1)


@pytest.fixture(scope="module")
def true_jobs(true_shop):
    """Jobs of that shop."""
    return list(true_shop.jobs(600))


def lesson_of(knowledge, jobs):
    return learn(knowledge, named(jobs), demo=True)


@pytest.fixture(scope="module")
def true_lesson(knowledge, true_jobs):
    """What those jobs teach."""
    return lesson_of(knowledge, true_jobs)


def test_the_invented_jobs_all_count_and_follow_the_guide(true_jobs, true_lesson):
    lesson = true_lesson
    assert [one.why for one in lesson.sorted.left_out] == []
    assert {one.prior.symptom: len(one.cases) for one in lesson.learned} == dict.fromkeys(sorted(SYMPTOMS), 120)
    kinds = Counter(entry["kind"] for one in true_jobs for entry in one["log"])
    assert min(kinds[kind] for kind in ("answer", "gate", "done", "failed", "note")) > 20
    assert sum(entry.get("hearsay", False) for one in true_jobs for entry in one["log"]) > 50


def test_predictions_of_a_true_model_are_right_within_chance(true_lesson):
    predicted = true_lesson.predicted
    bins = calibration(predicted)
    assert sum(one.true for one in bins) == 600
    assert [one for one in bins if not one.expected[0] <= one.true <= one.expected[1]] == []
    told = scores(predicted)
    assert told["guide"].log > told["prior"].log + 1.0
    assert told["guide"].brier < told["prior"].brier - 0.3
    assert abs(told["learned"].log - told["guide"].log) < 0.05  # there is nothing to learn


def test_predictions_of_an_untrue_model_fall_out_of_the_range(true_lesson):
    """The same jobs with their truths dealt anew."""
    dealt = random.Random(1)
    predicted = [replace(one, truth=dealt.choice(sorted(one.guide))) for one in true_lesson.predicted]
    assert sum(not one.expected[0] <= one.true <= one.expected[1] for one in calibration(predicted)) >= 4


def test_a_prediction_is_taken_before_the_first_repair(knowledge, true_lesson):
    case = next(one for one in true_lesson.sorted.cases if
                any(entry["kind"] == "failed" for entry in one.job["log"]))
    assert evidence_before_repair(knowledge, case)["failed"] == []


def stated_otherwise(knowledge, symptom: str) -> dict[str, float]:
    """The weights of a symptom, dealt to its faults the other way round."""
    faults = knowledge.symptoms[symptom].faults
    return dict(zip(sorted(faults, key=faults.get), sorted(faults.values(), reverse=True), strict=True))


@pytest.fixture(scope="module")
def other_jobs(knowledge, true_shop):
    """Jobs drawn from weights that are not those of the guide."""
    stated = {symptom: stated_otherwise(knowledge, symptom) for symptom in SMALL}
    shop = DemoShop(knowledge, 5, stated, look_ahead=1, asked=true_shop.asked)
    return list(shop.jobs(600, {symptom: SYMPTOMS[symptom] for symptom in SMALL}))


@pytest.fixture(scope="module")
def other_lesson(knowledge, other_jobs):
    """What those jobs teach."""
    return lesson_of(knowledge, other_jobs)


def distance(knowledge, lesson, symptom: str) -> float:
    """How far the learned shares of the faults lie from the stated ones, summed."""
    stated = stated_otherwise(knowledge, symptom)
    told = next(one for one in lesson.learned if one.prior.symptom == symptom)
    shares = {row.key[1]: row.after[0] for row in told.rows if row.key[0] == "fault"}
    total, all_stated = math.fsum(shares.values()), math.fsum(stated.values())
    return math.fsum(abs(shares[name] / total - weight / all_stated) for name, weight in stated.items())


def test_more_jobs_bring_the_weights_closer_to_the_truth(knowledge, other_jobs, other_lesson):
    fewer = lesson_of(knowledge, other_jobs[:60])
    for symptom in SMALL:
        few, many = (distance(knowledge, lesson, symptom) for lesson in (fewer, other_lesson))
        stated, now = stated_otherwise(knowledge, symptom), knowledge.symptoms[symptom].faults
        none = math.fsum(abs(now[name] - weight) for name, weight in stated.items()) / math.fsum(stated.values())
        assert many < few < none
        assert many < 0.5 * none


def test_learned_weights_predict_better_where_the_judged_are_wrong(other_lesson):
    told = scores(other_lesson.predicted)
    assert told["learned"].log > told["guide"].log + 0.05


def test_stated_shares_lie_in_the_intervals(true_lesson):
    """Each stated share is one of some forty; all but a tenth lie inside, give or take."""
    inside = [row.after[1] <= row.before[0] <= row.after[2] for one in true_lesson.learned for row in one.rows]
    assert sum(inside) >= stats.binom.ppf(0.001, len(inside), 0.90)


def test_the_order_of_files_does_not_matter(knowledge, other_jobs):
    jobs = named([*other_jobs[:40], *other_jobs[:20]])
    mixed = list(jobs)
    random.Random(1).shuffle(mixed)
    one, other, once = (learn(knowledge, heap, True) for heap in (jobs, mixed, named(other_jobs[:40])))
    assert (one.learned, one.sorted, one.predicted) == (other.learned, other.sorted, other.predicted)
    assert one.learned == once.learned and len(one.sorted.again) == 20


def test_weights_that_were_learned_are_learned_again_from_the_judgement(knowledge, other_jobs):
    """What a symptom keeps as judged is the prior, whatever its weights have become."""
    jobs = named(other_jobs[:60])
    first = learn(knowledge, jobs, True)
    for one in first.learned:
        symptom = knowledge.symptoms[one.prior.symptom]
        before = dict(symptom.weights), dict(symptom.faults), dict(symptom.learned)
        try:
            symptom.learned = {"judged": {"weights": dict(before[0]), "faults": dict(before[1])}}
            for row in one.rows:
                (symptom.weights if row.key[0] == "share" else symptom.faults)[row.key[1]] = row.learned
            prior = prior_of(knowledge, one.prior.symptom)
            again = rows(knowledge, prior, Units(knowledge, prior).count(one.cases))
            assert [(row.key, row.learned) for row in again] == [(row.key, row.learned) for row in one.rows]
            assert all(row.weight == row.learned for row in again)
        finally:
            symptom.weights.clear(), symptom.faults.clear()
            symptom.weights.update(before[0]), symptom.faults.update(before[1])
            symptom.learned = before[2]
    assert weights_now(knowledge, SMALL[0])["share", "normal"] == first.learned[-1].prior.weights["share", "normal"]
