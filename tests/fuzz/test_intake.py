"""Whatever an owner types, both intakes give an answer, and the same one."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st
from sparkgap.intake import build_index, intake
from sparkgap.knowledge.schemas import validator

from tests.fuzz.inputs import profile, spoiled
from tests.intake.complaints import ALL
from tests.js import engine
from tests.loaded import base, shipped

# Names that every object of a browser has: none of them is a word of the index.
NAMES = [
    "constructor",
    "__proto__",
    "toString",
    "hasOwnProperty",
    "valueOf",
    "prototype",
    "length",
    "undefined",
    "null",
]
COMPLAINT = st.one_of(
    st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=80),
    st.lists(
        st.sampled_from(
            [*NAMES, "gas", "smell", "no", "hot", "water", "pump", "5 gal", "1/0", "140 degF", "E1", "..."]
        ),
        max_size=8,
    ).map(" ".join),
    st.sampled_from(ALL).flatmap(spoiled).map(lambda text: text.encode("utf-8", "replace").decode()),
)
INDEX = [json.loads(json.dumps(build_index(one))) for one in (base(), shipped())]
BROWSER = engine("intake.js")


@given(st.lists(COMPLAINT, min_size=8, max_size=8))
@profile(12)
def test_the_same_and_never_an_error(texts):
    for index in INDEX:
        python = [intake(text, index) for text in texts]
        browser = BROWSER.call("(texts, index) => texts.map((t) => Sparkgap.intake.rank(t, index))", texts, index)
        assert python == browser
        validator("intake").validate(python[0])


def test_names_of_every_object_mean_nothing():
    for index in INDEX:
        for name in NAMES:
            python = intake(name, index)
            assert python["symptoms"] == [] and python["emergencies"] == []
            assert BROWSER.call("(t, index) => Sparkgap.intake.rank(t, index)", name, index) == python
