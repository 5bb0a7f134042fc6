"""Each rule against small knowledge: what keeps it gives no problem, what breaks it gives just the listed ones.

A case is a folder of cases/: good/ and bad/ (or bad-…/) are copied over base/, and bad/expected.txt holds the
problems word by word. Cases are named by the rule's module; reading, schema and converting are the loader's.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from sparkgap.knowledge import load
from sparkgap.knowledge.rules import RULES
from sparkgap.problems import CODES

from tests.loaded import BASE, base

CASES = Path(__file__).parent / "cases"
GOOD = sorted(CASES.glob("*/good*"))
BAD = sorted(CASES.glob("*/bad*"))
LOADER = {"reading", "schema", "converting"}
_LINE = re.compile(r"(?P<path>[^:]+):(?P<line>\d+):(?P<column>\d+): (?P<code>[a-z-]+) (?P<message>.+) \((?P<fix>.+)\)")


def _named(path: Path) -> str:
    return f"{path.parent.name}-{path.name}"


def _problems(case: Path, folder: Path) -> list[str]:
    shutil.copytree(BASE, folder, dirs_exist_ok=True)
    shutil.copytree(case, folder, dirs_exist_ok=True)
    return [str(problem) for problem in load(folder).problems]


def _expected(case: Path) -> list[str]:
    return (case / "expected.txt").read_text(encoding="utf-8").splitlines()


def test_the_base_is_sound():
    assert base().problems == []
    assert sorted(base().procedures) == ["pump-checks", "supply"]


@pytest.mark.parametrize("case", GOOD, ids=_named)
def test_what_keeps_the_rule_gives_no_problem(case, tmp_path):
    assert _problems(case, tmp_path) == []


@pytest.mark.parametrize("case", BAD, ids=_named)
def test_what_breaks_the_rule_gives_just_its_problems(case, tmp_path):
    assert _problems(case, tmp_path) == _expected(case)


def test_every_rule_has_both_cases():
    rules = {rule.__name__.rsplit(".", 1)[1] for rule in RULES}
    assert {case.parent.name for case in GOOD} == rules | LOADER
    assert {case.parent.name for case in BAD} == rules | LOADER


def test_every_rule_says_what_it_holds():
    for rule in RULES:
        assert rule.__doc__ and rule.__doc__.strip().endswith("."), rule.__name__


def test_every_rule_module_is_listed():
    modules = {path.stem for path in Path(RULES[0].__file__).parent.glob("*.py")} - {"__init__"}
    assert modules == {rule.__name__.rsplit(".", 1)[1] for rule in RULES}


def test_every_code_is_produced_by_a_case_with_place_and_fix():
    produced = set()
    for case in BAD:
        for line in _expected(case):
            match = _LINE.fullmatch(line)
            assert match, line
            produced.add(match["code"])
    assert produced == set(CODES)
