"""One broken file at a time: its problems word by word, and everything in the other files still there."""

from __future__ import annotations

import pytest

from tests.broken.overlay import FILES, NAMED, break_file, copy, loaded, lost, said


def test_there_are_many_and_no_two_alike():
    assert len(FILES) == len(NAMED) == len({str((c["file"], c.get("new", c.get("text")))) for c in FILES}) >= 100


@pytest.mark.parametrize("name", NAMED)
def test_broken(name, tmp_path):
    case = NAMED[name]
    root = copy(tmp_path / "knowledge")
    break_file(root, case)
    knowledge = loaded(root)
    assert said(knowledge) == case["says"]
    assert any(problem.path == case["file"] for problem in knowledge.problems)
    assert lost(knowledge, case["file"]) == []
