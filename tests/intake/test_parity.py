"""Python and the browser make the same of every complaint."""

from __future__ import annotations

import json
from functools import cache

import pytest
from sparkgap.intake import Ranker, build_index
from sparkgap.intake.words import stem, words

from tests.intake.complaints import ALL
from tests.intake.sets import NAMES, cases
from tests.js import engine
from tests.loaded import base, shipped

KNOWLEDGE = {"base": base, "shipped": shipped}
EVERY = list(dict.fromkeys([*ALL, *(case.text for name in NAMES for case in cases(name))]))


@cache
def _both(name: str) -> list[tuple[str, dict, dict]]:
    """Each complaint with what Python and what JavaScript make of it; the loop runs inside JavaScript."""
    index = json.loads(json.dumps(build_index(KNOWLEDGE[name]())))
    browser = engine("intake.js").call(
        "(texts, index) => texts.map((t) => Sparkgap.intake.rank(t, index))", EVERY, index)
    ranker = Ranker(index)
    return list(zip(EVERY, map(ranker.intake, EVERY), browser, strict=True))


@pytest.mark.parametrize("name", KNOWLEDGE)
def test_the_same_result_for_every_complaint(name):
    assert len(EVERY) >= 800
    for text, python, browser in _both(name):
        assert python == browser, text[:80]


@pytest.mark.parametrize("name", KNOWLEDGE)
def test_the_complaints_exercise_everything(name):
    results = [python for _, python, _ in _both(name)]
    assert sum(1 for one in results if one["symptoms"]) > 10
    assert sum(1 for one in results if one["emergencies"]) >= 5
    assert sum(1 for one in results if one["facts"]) > 25
    assert any(not one["symptoms"] and not one["emergencies"] and not one["facts"] for one in results)


def test_the_words_are_cut_alike():
    browser = engine("intake.js").call("(texts) => texts.map((t) => Sparkgap.intake.words(t))", EVERY)
    assert browser == [words(text) for text in EVERY]
    every = sorted({word for found in browser for word in found})
    assert engine("intake.js").call("(list) => list.map(Sparkgap.intake.stem)", every) == [stem(w) for w in every]
