"""Where a procedure's text places things, against what Markdown makes of the same text."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from mdit_py_plugins.colon_fence import colon_fence_plugin
from sparkgap.knowledge.text import LITERAL, PLACED, placements, split_front_matter

from tests.loaded import shipped


def placed(body: str) -> list[tuple[str, str, int, int]]:
    """Kind, target, line and column of each placement."""
    return [(one.kind, one.target, one.place.line, one.place.column) for one in placements(body, "p.md", 1)]


_PARSER = MarkdownIt("commonmark").use(colon_fence_plugin)
_DIRECTIVE = re.compile(r"\{([a-z:-]+)\}\s*(\S*)\s*")


def by_markdown(body: str) -> list[tuple[str, str]]:
    """Kind and target of each placement, as a Markdown parser nests them."""
    found = []
    for token in _PARSER.parse(body):
        if token.type not in ("fence", "colon_fence"):
            continue
        match = _DIRECTIVE.fullmatch(token.info.strip())
        name = match[1] if match else ""
        if name in PLACED:
            found.append((name, match[2]))
        braced = token.info.strip().startswith("{")
        if name not in LITERAL if braced else token.type == "colon_fence":
            found += by_markdown(token.content)
    return found


def test_a_directive_places_its_target():
    assert placed("text\n\n```{check} one\n```\n\n```{gate} two\n```\n") == [
        ("check", "one", 3, 1), ("gate", "two", 6, 1)]


def test_every_kind_and_the_full_name():
    body = "".join(f"```{{rv:{kind}}} x\n```\n" for kind in PLACED)
    assert [kind for kind, *_ in placed(body)] == list(PLACED)


def test_other_directives_place_nothing():
    assert placed("```{note} check\n```\n\n```{fault} x\n```\n") == []


def test_a_directive_without_a_target_is_seen():
    assert placed("```{check}\n```\n") == [("check", "", 1, 1)]


def test_literal_blocks_place_nothing():
    for opening in ("```yaml", "```", "~~~", "```{code-block} text", "```{raw} html"):
        fence = opening[:3] * 2
        body = f"{fence}{opening[3:]}\n```{{check}} shown\n```\n{fence}\n\n```{{check}} real\n```\n"
        assert placed(body) == [("check", "real", 6, 1)], opening


def test_indented_code_places_nothing():
    assert placed("    ```{check} shown\n    ```\n\n   ```{check} real\n   ```\n") == [("check", "real", 4, 4)]


def test_list_items_hold_directives_at_their_indent():
    body = "10. ten\n\n    ```{check} in-item\n    ```\n\nout\n\n    ```{check} code\n    ```\n"
    assert placed(body) == [("check", "in-item", 3, 5)]


def test_nested_fences_count_with_their_own_place():
    body = "`````{note}\n````{tip}\n```{check} deep\n```\n````\n`````\n\n```{gate} after\n```\n"
    assert placed(body) == [("check", "deep", 3, 1), ("gate", "after", 8, 1)]


def test_an_inner_fence_of_the_same_length_ends_the_outer_one():
    body = "```{note}\n```{check} swallowed\n```\ntext\n```\n```{gate} literal\n```\n"
    assert placed(body) == [("check", "swallowed", 2, 1)]


def test_colon_fences():
    body = (":::{check} one\n:::\n\n::::{note}\n:::{check} two\n:::\n```{check} three\n```\n::::\n\n"
            ":::box\n```{gate} four\n```\n:::\n")
    assert [(kind, target) for kind, target, *_ in placed(body)] == [
        ("check", "one"), ("check", "two"), ("check", "three"), ("gate", "four")]


def test_a_fence_left_open_runs_to_the_end():
    assert placed("```text\n\n```{check} x\n```{check} y\n") == []


def test_places_are_lines_of_the_file():
    text = "---\nid: x\n---\n\n```{check} one\n```\n"
    _, body, first = split_front_matter(text, "p.md")
    (one,) = placements(body, "p.md", first)
    assert text.split("\n")[one.place.line - 1] == "```{check} one"


@pytest.mark.parametrize("text", ["", "# Title\n", "---\nid: x\n", "\n---\nid: x\n---\n", "----\nid: x\n----\n"])
def test_text_without_front_matter(text):
    assert str(split_front_matter(text, "p.md")).startswith("p.md:1:1: front-matter-missing ")


def test_front_matter_ends_at_the_first_line_of_dashes():
    assert split_front_matter("---  \na: 1\n---\nb\n---\nc", "p.md") == ("a: 1", "b\n---\nc", 4)


_LINES = ["```{check} a", "```", "````", "````{note}", "```text", ":::", ":::{gate} b", "::::{tip}", "::::", "~~~",
          "~~~{remedy} c", "    ```{check} d", "  ```{check} e", "  ```", "text", "", "```{code-block} yaml"]


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(_LINES), max_size=12))
def test_the_scanner_agrees_with_a_markdown_parser(lines):
    body = "\n".join(lines) + "\n"
    assert [(kind, target) for kind, target, *_ in placed(body)] == by_markdown(body)


def test_the_scanner_agrees_on_every_shipped_procedure():
    assert shipped().procedures
    for procedure in shipped().procedures.values():
        assert [(one.kind, one.target) for one in procedure.placements] == by_markdown(procedure.body), procedure.id
