"""From words to rows."""

import pytest
from sparkgap.knowledge.likelihood import LikelihoodError, rows

WORDS = {"sure": 0.98, "likely": 0.8, "even": 0.5, "unlikely": 0.2, "rare": 0.02}
ANSWERS = ["above", "below", "within"]


def make(listed, otherwise=None, answers=ANSWERS, clear="within", **keys):
    settings = {"words": WORDS, "clear_default": 0.95, "floor": 0.001, **keys}
    return rows(answers, clear, otherwise, listed, **settings)


def test_the_answer_left_out_gets_the_rest():
    got = make({"below": {"leak": "likely"}, "within": {"leak": 0.15}})
    assert got["leak"] == pytest.approx([0.05, 0.8, 0.15], abs=1e-15)


def test_a_fault_is_named_once_for_a_check_of_two_answers():
    got = make({"loose": {"crack": "sure"}}, answers=["firm", "loose"], clear="firm")
    assert got["crack"] == pytest.approx([0.02, 0.98], abs=1e-15)


def test_without_an_otherwise_row_the_clear_answer_is_the_default():
    assert make({})["*"] == pytest.approx([0.025, 0.025, 0.95], abs=1e-15)


def test_answers_left_out_of_the_otherwise_row_share_its_rest():
    assert make({}, {"within": 0.9})["*"] == pytest.approx([0.05, 0.05, 0.9], abs=1e-15)
    assert make({}, {"within": "likely", "above": 0.15})["*"] == pytest.approx([0.15, 0.05, 0.8], abs=1e-15)


def test_entries_are_clamped_and_sum_to_one_again():
    got = make({"below": {"leak": 1.0}, "above": {"leak": 0.0}})["leak"]
    assert got == pytest.approx([0.001 / 1.001, 0.999 / 1.001, 0.001 / 1.001], abs=1e-15)


def test_an_intermittent_fault_is_mixed_with_the_otherwise_row():
    got = make({"loose": {"crack": "sure"}}, answers=["firm", "loose"], clear="firm", shows={"crack": 0.6})
    assert got["crack"] == pytest.approx([0.6 * 0.02 + 0.4 * 0.95, 0.6 * 0.98 + 0.4 * 0.05], abs=1e-15)


@pytest.mark.parametrize(
    ("listed", "otherwise", "message"),
    [
        ({"below": {"leak": "sure"}, "above": {"leak": "even"}}, None, "the likelihoods of leak sum to 1.48"),
        ({"below": {"leak": "sure"}}, None, "leak leaves out 2 answers: above, within"),
        ({"below": {"leak": "often"}}, None, "unknown word 'often' for leak on below"),
        ({"low": {"leak": "sure"}}, None, "likelihoods name 'low', which is not an answer"),
        ({a: {"leak": 0.3} for a in ANSWERS}, None, "the likelihoods of leak sum to 0.9"),
        ({"below": {"leak": 1.2}}, None, "1.2 for leak on below is no probability"),
        ({}, {"within": 0.98, "below": 0.1}, "the likelihoods of otherwise sum to 1.08"),
        ({}, {"fine": 0.98}, "otherwise names 'fine', which is not an answer"),
    ],
)
def test_what_makes_no_distribution_is_refused_with_a_remedy(listed, otherwise, message):
    with pytest.raises(LikelihoodError) as caught:
        make(listed, otherwise)
    assert caught.value.message == message
    assert caught.value.fix


def test_the_clear_answer_must_be_an_answer():
    with pytest.raises(LikelihoodError, match="the clear answer 'fine' is not an answer"):
        make({}, clear="fine")
