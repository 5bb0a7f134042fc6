"""What an owner may do alone is asked in words that can be said on the phone."""

from __future__ import annotations

from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.knowledge import Knowledge


def owners_checks(knowledge: Knowledge) -> dict[str, str]:
    """The checks that need nobody more than the owner, access and gates counted, with their words."""
    return {check["id"]: check["ask_owner"] for symptom in sorted(knowledge.symptoms)
            for check in compile_symptom(knowledge, symptom)["checks"] if not check["who"]}


def test_every_check_that_an_owner_may_do_has_its_spoken_words(knowledge: Knowledge) -> None:
    words = owners_checks(knowledge)
    assert len(words) >= 98
    assert [gid for gid, said in words.items() if not said] == []
    assert [gid for gid, said in words.items() if "?" not in said or len(said) > 300] == []
