"""The strict YAML reader: every surprise is refused in its place, in words, and nothing ever raises."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sparkgap.knowledge.text import split_front_matter
from sparkgap.knowledge.yaml_reader import Plain, read_yaml

SYNTAX_FIX = "(check indentation, quotes and colons on this line and the one before)"


def said(text: str, first_line: int = 1) -> list[str]:
    """The problems without the path."""
    return [str(problem).removeprefix("f.yaml:") for problem in read_yaml(text, "f.yaml", first_line).problems]


def test_what_is_plain_is_read_as_written():
    text = 'a: word\nb: "two words"\nc: -12\nd: 0.5\ne: 1e3\nf: true\ng: [1, x]\nh: |\n  prose\n'
    document = read_yaml(text, "f.yaml")
    assert document.problems == []
    assert document.data == {"a": "word", "b": "two words", "c": -12, "d": 0.5, "e": 1000.0, "f": True,
                             "g": [1, "x"], "h": "prose\n"}
    assert isinstance(document.data["a"], Plain) and not isinstance(document.data["b"], Plain)
    assert not isinstance(document.data["h"], Plain)
    assert [type(document.data[key]) for key in "cdef"] == [int, float, float, bool]


def test_every_key_and_item_knows_its_place():
    document = read_yaml("a:\n  b: 1\n  c:\n    - x\n    - {d: 2}\n", "f.yaml", first_line=10)
    places = {path: (place.line, place.column) for path, place in document.places.items()}
    assert places == {(): (10, 1), ("a",): (10, 1), ("a", "b"): (11, 3), ("a", "c"): (12, 3), ("a", "c", 0): (13, 7),
                      ("a", "c", 1): (14, 7), ("a", "c", 1, "d"): (14, 8)}
    assert document.at(("a", "c", 1, "z", "y")) == document.places["a", "c", 1]


@pytest.mark.parametrize("word", ["yes", "No", "ON", "off", "y", "N", "1:30", "12:30:45.5", "2026-11-20", "2026-02-30",
                                  "2026-1-5", "2026-11-20 10:00", "0x1F", "1_000", "0b11", ".inf", "-.INF", ".nan",
                                  "True", "FALSE", "="])
def test_a_plain_value_that_yaml_would_turn_is_refused(word):
    assert said(f"a: {word}\n") == [f'1:4: yaml-ambiguous YAML reads {word} as something else (quote it: "{word}")']
    assert said(f'a: "{word}"\n') == []
    assert read_yaml(f'a: "{word}"\n', "f.yaml").data == {"a": word}


@pytest.mark.parametrize("word", ["yes", "no", "On", "off", "y", "n", "true", "False", "null", "~", "<<"])
def test_a_plain_key_that_yaml_would_turn_is_refused(word):
    assert said(f"{word}: 1\n") == [
        f'1:1: yaml-ambiguous YAML reads the key {word} as something else (quote it: "{word}")']
    assert said(f'"{word}": 1\n') == []


@pytest.mark.parametrize("number", ["012345", "00", "-07", "08.5", "09"])
def test_leading_zeros_are_refused(number):
    assert said(f"a: {number}\n") == [f"1:4: yaml-ambiguous the number {number} starts with a zero "
                                      f'(write it without the zero, or quote it: "{number}")']


@pytest.mark.parametrize("number", ["1e999", "-1e400"])
def test_numbers_beyond_doubles_are_refused(number):
    assert said(f"a: {number}\n") == [
        f"1:4: yaml-ambiguous the number {number} is too large (write a number that can be measured)"]


def test_endless_digits_are_refused_before_they_cost_anything():
    assert said(f"a: {'9' * 100_000}\n") == ["1:4: yaml-ambiguous a number of more than 30 characters (round it)"]
    assert said(f"a: 0.{'3' * 40}\n") == ["1:4: yaml-ambiguous a number of more than 30 characters (round it)"]


@pytest.mark.parametrize(("text", "problem"), [
    ("a:\n", "1:3: yaml-null a has no value"),
    ("a: ~\n", "1:4: yaml-null a has no value"),
    ("a: null\n", "1:4: yaml-null a has no value"),
    ("a:\n  b: Null\n", "2:6: yaml-null a.b has no value"),
    ("a:\n  - x\n  -\n", "3:4: yaml-null a.1 has no value"),
])
def test_a_missing_value_is_named(text, problem):
    assert said(text) == [f"{problem} (write a value or take the key out)"]


@pytest.mark.parametrize("text", ["", "\n\n", "# only a comment\n", "---\n"])
def test_an_empty_document_says_so(text):
    problems = said(text)
    assert len(problems) == 1 and problems[0].split(": ")[1].startswith("yaml-null ")


def test_duplicate_keys_name_the_first():
    assert said("a: 1\nb:\n  c: 1\n  d: 2\n  c: 3\na: 2\n") == [
        "5:3: yaml-duplicate-key key 'c' stands twice, first on line 3 (keep one of the two)",
        "6:1: yaml-duplicate-key key 'a' stands twice, first on line 1 (keep one of the two)"]
    assert read_yaml("a: 1\na: 2\n", "f.yaml").data == {"a": 1}


ALIAS = "yaml-alias anchors and aliases are not used here (write the value out)"


@pytest.mark.parametrize(("text", "place"), [
    ("a: &x 1\nb: *x\n", "1:4"),
    ("a: 1\nb: *unknown\n", "2:4"),
    ("base: &b {k: 1}\nc:\n  <<: *b\n", "1:7"),
    ("&a a: 1\n", "1:1"),
])
def test_anchors_aliases_and_merge_keys_are_refused(text, place):
    document = read_yaml(text, "f.yaml")
    assert [str(problem) for problem in document.problems] == [f"f.yaml:{place}: {ALIAS}"]
    assert document.data is None


def test_an_alias_bomb_is_refused_at_once():
    bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 30))
    assert said(bomb) == [f"1:5: {ALIAS}"]


def test_an_ampersand_or_star_in_text_is_no_alias():
    assert said('a: "B&B *now*"\nb: R&D\nc: 2*3\n') == []


@pytest.mark.parametrize(("text", "place"), [
    ("- " * 900 + "a", "1:81"),
    ("- " * 100_000 + "a", "1:81"),
    ("\n".join(" " * n + "a:" for n in range(3000)), "41:41"),
    ("a: " + "[{b: " * 30 + "1" + "}]" * 30, "1:100"),
    ("[" * 41 + "]" * 41, "1:41"),
])
def test_deep_nesting_is_refused(text, place):
    assert said(text) == [f"{place}: yaml-syntax nested deeper than 40 levels (flatten it)"]


@pytest.mark.parametrize("opening", ["[", "{", "{a: ["])
def test_nesting_without_end_is_a_problem_and_no_crash(opening):
    problems = said(opening * 100_000)
    assert len(problems) == 1 and "yaml-syntax " in problems[0]


def test_forty_levels_are_read():
    assert said("[" * 40 + "1" + "]" * 40) == []


@pytest.mark.parametrize(("text", "problem"), [
    ("a: b: c\n", "1:5: yaml-syntax not valid YAML: mapping values are not allowed in this context"),
    ("a:\n\tb: 1\n", "2:1: yaml-syntax not valid YAML: found character that cannot start any token"),
    ("a: 1\n b: 2\n", "2:3: yaml-syntax not valid YAML: mapping values are not allowed in this context"),
    ("a: [1, 2\nb: 3\n", "2:2: yaml-syntax not valid YAML: did not find expected ',' or ']' while parsing a flow "
                         "sequence that began on line 1"),
    ("a: 1\nb: 'open\nc: 2\n", "4:1: yaml-syntax not valid YAML: found unexpected end of stream while scanning a "
                               "quoted scalar that began on line 2"),
    ("a: @home\n", "1:4: yaml-syntax not valid YAML: found character that cannot start any token"),
    ("a: 1\n---\nb: 2\n", "2:1: yaml-syntax not valid YAML: but found another document"),
])
def test_broken_yaml_is_said_in_its_place(text, problem):
    assert said(text) == [f"{problem} {SYNTAX_FIX}"]


@pytest.mark.parametrize(("text", "problem"), [
    ("a: !!int '5'\n", "1:4: yaml-syntax the tag !!int is not used here"),
    ("a: !thing b\n", "1:4: yaml-syntax the tag !thing is not used here"),
    ("a: !!python/object/apply:os.system ['x']\n",
     "1:4: yaml-syntax the tag !!python/object/apply:os.system is not used here"),
    ("a: !!binary aGk=\n", "1:4: yaml-syntax the tag !!binary is not used here"),
    ("a: !!set {x, y}\n", "1:4: yaml-syntax the tag !!set is not used here"),
])
def test_tags_are_refused(text, problem):
    assert said(text) == [f"{problem} (take it out; quotes make text, no quotes a number)"]


def test_a_key_that_is_no_word_is_refused():
    assert said("? [a, b]\n: 1\n") == ["1:3: yaml-syntax a key must be a plain word (write the key as text)"]


def test_all_problems_come_at_once():
    assert [line.split()[1] for line in said("a: no\na: 1\nb:\nc: 012\nd: 1:30\n")] == [
        "yaml-ambiguous", "yaml-duplicate-key", "yaml-null", "yaml-ambiguous", "yaml-ambiguous"]


def test_front_matter_keeps_the_lines_of_its_file():
    text = "---\nid: x\n\nchecks:\n  one:\n    minutes: 1:30\n---\n\nBody\n"
    matter, body, body_line = split_front_matter(text, "p.md")
    document = read_yaml(matter, "p.md", first_line=2)
    assert [str(p) for p in document.problems] == [
        'p.md:6:14: yaml-ambiguous YAML reads 1:30 as something else (quote it: "1:30")']
    assert text.split("\n")[document.at(("checks", "one")).line - 1] == "  one:"
    assert (body, body_line) == ("\nBody\n", 8)
    assert text.split("\n")[body_line - 1:] == body.split("\n")


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="ab:-[]{}&*!|>'\"#%@,?~ \n\t0123456789.eE_<=nyo", max_size=60))
def test_nothing_ever_raises(text):
    document = read_yaml(text, "f.yaml")
    assert document.data is not None or document.problems
    lines = text.split("\n")
    for problem in document.problems:
        assert 1 <= problem.line <= len(lines) + 1 and problem.column >= 1
