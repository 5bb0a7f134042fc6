"""The mutation run itself: which numbers it finds, that it changes one, and how it tells caught from survived."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from sparkgap.knowledge import load

from . import harness
from .harness import Copy, Mutant, Verdict
from .judge import has_no_effect, new_problem
from .numbers import Number, changed, kind_of, numbers_below, numbers_in, unplaced, value_of
from .report import Report

SOURCES = {"code": "standard", "memory": "memory"}
CALCULATOR = r'''id: fill-time
title: "Time to fill"
summary: "A tank at 3 gal/min takes 4 minutes."
source: code
inputs:
  volume: {title: "Volume", quantity: volume, unit: gal, default: "12 gal", low: "0 gal", high: "3 1/4 gal"}
  spare: {title: "Spare", quantity: length, unit: in, default: "1/8 in"}
steps:
  pumped: {expression: "volume * 2"}
outputs:
  time: {quantity: duration, digits: 3, title: "Time",
    expression: "pumped / q(\"8.5 gal/min\") * lookup(\"t-3\", x2, \"c\")"}
examples:
  - {title: "A 6 gal tank", source: memory, given: {volume: "6 gal"}, gives: {time: "1.412 min"}, within: 0.005}
'''


def found(text: str, path: str) -> list[tuple[str, str, str, int]]:
    """The numbers of a text as (written, kind, source kind, line)."""
    return [(n.written, n.kind, n.source_kind, n.line) for n in numbers_in(text, path, SOURCES)]


def test_numbers_of_a_calculator():
    assert found(CALCULATOR, "kb/calculators/fill-time.yaml") == [
        ("12", "calculator default", "unstated", 6), ("3 1/4", "calculator range", "unstated", 6),
        ("1/8", "calculator default", "unstated", 7), ("2", "expression", "standard", 9),
        ("8.5", "expression", "standard", 12),
        ("6", "example", "memory", 14), ("1.412", "example", "memory", 14)]


def test_numbers_of_a_procedure():
    text = '''---
id: p
revision: 3
tolerances:
  gap:
    quantity: length
    source: code
    variants: [{when: {board: two, volume: {below: "10 gal"}}, low: "1/8 in"}]
checks:
  look: {ask: "5 mm?", tier: 2, minutes: {typical: 50, plus: 0}, otherwise: {bad: .05},
         answers: {bad: {says: "7 of 9", likelihood: {f-1: 0.98, f-2: sure}}}, judge: "a - q('2 V')"}
---
12 gal in the text.
'''
    assert found(text, "procedures/water-heating/p.md") == [
        ("10", "condition", "standard", 8), ("1/8", "tolerance", "standard", 8), ("50", "minutes", "unstated", 10),
        (".05", "likelihood", "unstated", 10), ("0.98", "likelihood", "unstated", 11),
        ("2", "expression", "unstated", 11)]


@pytest.mark.parametrize(("path", "at", "kind"), [
    ("kb/constants.yaml", ("water_density", "value"), "constant"),
    ("kb/tables/wire.yaml", ("rows", 3, 0), "table entry"),
    ("kb/tools.yaml", ("watch", "accuracy", "fixed"), "tool"),
    ("kb/symptoms/water-heating/x.yaml", ("also", "y", "weight"), "weight"),
    ("kb/calculators/x.yaml", ("examples", 0, "within"), ""),
    ("procedures/water-heating/x.md", ("revision",), ""),
    ("procedures/water-heating/x.md", ("remedies", "y", "fails"), "likelihood"),
])
def test_kinds(path: str, at: tuple, kind: str):
    assert kind_of(path, at) == kind


def test_a_number_that_no_kind_knows_is_named():
    assert unplaced("a: {value: 3, tier: 2, depth: 4}", "kb/constants.yaml") == ["a/depth"]


@pytest.mark.parametrize(("written", "value"), [
    ("3", 3), ("-40", -40), ("1/8", 0.125), ("-3 1/4", -3.25), ("1e-3", 0.001)])
def test_value_as_written(written: str, value: float):
    assert value_of(written) == value


def test_one_number_changes_and_nothing_else():
    numbers = numbers_in(CALCULATOR, "kb/calculators/fill-time.yaml", SOURCES)
    for number in numbers:
        after = changed(CALCULATOR, number, 1.02)
        assert after[:number.start] == CALCULATOR[:number.start]
        assert after.endswith(CALCULATOR[number.end:])
        new = after[number.start:len(after) - len(CALCULATOR) + number.end]
        assert value_of(new) == pytest.approx(1.02 * value_of(number.written), rel=1e-9)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A knowledge of one constant and one calculator whose example holds to 0.5 %."""
    (tmp_path / "procedures").mkdir()
    files = {
        "knowledge.yaml": 'schema: 1\ntitle: "Small"\ndemo: "All of it is invented."\n',
        "sources.yaml": 'code: {kind: standard, title: "A code", where: "read"}\n',
        "constants.yaml": 'rate: {title: "Rate", value: "8.5 gal/min", quantity: water-flow, source: code}\n'
                          'idle: {title: "Idle", value: "2", quantity: ratio, source: code}\n',
        "calculators/fill-time.yaml": 'id: fill-time\ntitle: "Time to fill"\nsummary: "How long."\nsource: code\n'
            'inputs:\n  volume: {title: "Volume", quantity: volume, unit: gal, default: "12 gal"}\n'
            '  spare: {title: "Spare", quantity: volume, unit: gal, default: "1 gal"}\nconstants: [rate]\n'
            'outputs:\n  time: {title: "Time", quantity: duration, unit: min, expression: "volume / rate", digits: 3}\n'
            'examples:\n  - {title: "Six", source: code, given: {volume: "6 gal", spare: "1 gal"}, '
            'gives: {time: "0.7059 min"}, within: 0.005}\n'}
    for name, text in files.items():
        (tmp_path / "kb" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "kb" / name).write_text(text, encoding="utf-8")
    return tmp_path


def number_of(root: Path, written: str, kind: str) -> Number:
    """The one number that is written so."""
    (one,) = [n for n in numbers_below(root) if n.written == written and n.kind == kind]
    return one


@pytest.mark.parametrize(("written", "kind", "caught", "effect"), [
    ("8.5", "constant", True, True), ("6", "example", True, True), ("0.7059", "example", True, True),
    ("2", "constant", False, True), ("12", "calculator default", False, True), ("1", "example", False, False)])
def test_caught_and_survived(small: Path, written: str, kind: str, caught: bool, effect: bool):
    before, number = load(small), number_of(small, written, kind)
    file = small / number.path
    file.write_text(changed(file.read_text(encoding="utf-8"), number, 1.02), encoding="utf-8")
    after = load(small)
    assert new_problem(before, after).startswith("example-fails") is caught
    assert has_no_effect(before, after, number) is not effect


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")
def test_a_fork_answers_fails_or_is_given_up():
    assert harness.collect(*harness.in_fork(lambda: {"by": "survived"})) == {"by": "survived"}
    failed = harness.collect(*harness.in_fork(lambda: 1 / 0))
    assert failed == {"by": "error", "what": "ZeroDivisionError: division by zero"}
    slow = harness.collect(*harness.in_fork(lambda: __import__("time").sleep(30)), seconds=0.2)
    assert slow["by"] == "error"


def test_a_copy_leaves_the_original_alone(small: Path, tmp_path_factory: pytest.TempPathFactory):
    copy = Copy.of(small, tmp_path_factory.mktemp("copy"))
    (copy.root / "kb/constants.yaml").write_text("{}", encoding="utf-8")
    assert "8.5" in (small / "kb/constants.yaml").read_text(encoding="utf-8")


def mutant(written: str, source_kind: str) -> Mutant:
    """An invented mutant."""
    return Mutant(Number("kb/constants.yaml", 1, 1, 0, 1, written, ("a", "value"), "constant", "s", source_kind), 1.02)


def test_only_published_numbers_must_be_caught():
    caught, left, recalled = mutant("1", "standard"), mutant("2", "library"), mutant("3", "memory")
    verdicts = [Verdict(caught, "check"), Verdict(left, "survived"), Verdict(recalled, "survived")]
    report = Report([caught, left, recalled], verdicts, {})
    assert report.published_rate() == (1, 2)
    assert not report.sound()
    assert Report([caught, recalled], [verdicts[0], verdicts[2]], {}).sound()


def test_an_accepted_survivor_does_not_count_and_must_be_needed():
    caught, left = mutant("1", "standard"), mutant("2", "standard")
    verdicts = [Verdict(caught, "test"), Verdict(left, "survived")]
    accepted = {("kb/constants.yaml", "a/value", "2"): "because"}
    report = Report([caught, left], verdicts, accepted)
    assert (report.published_rate(), report.sound(), report.unneeded()) == ((1, 1), True, [])
    stale = {("kb/constants.yaml", "a/value", "1"): "because", ("kb/constants.yaml", "b/value", "2"): "because"}
    report = Report([caught, left], verdicts, stale)
    assert report.unneeded() == list(stale)
    assert not report.sound()
