"""Whatever a file holds, reading it gives data or problems with places inside it, and never an exception."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sparkgap.knowledge import load
from sparkgap.knowledge.read import read_text
from sparkgap.knowledge.text import placements, split_front_matter
from sparkgap.knowledge.yaml_reader import read_yaml
from sparkgap.problems import Problem

from tests.broken.overlay import lost
from tests.fuzz.inputs import profile, spoiled
from tests.loaded import BASE, ROOT

SHIPPED = sorted((ROOT / "kb").rglob("*.yaml"))
FILES = sorted(path.relative_to(BASE).as_posix() for path in BASE.rglob("*.*") if path.suffix in (".yaml", ".md"))
BREAKS = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what YAML counts as the end of a line


def holds(problems: list[Problem], text: str) -> None:
    """Every problem stands on a line of the text and is said on one line."""
    lines = len(BREAKS.findall(text)) + 1
    for problem in problems:
        assert 1 <= problem.line <= lines and problem.column >= 1
        assert problem.message and problem.fix and "\n" not in str(problem)
        str(problem).encode("utf-8")


@given(
    st.one_of(
        st.text(max_size=200),
        st.sampled_from(SHIPPED).flatmap(lambda path: spoiled(path.read_text(encoding="utf-8")[:1500])),
    )
)
@profile(150)
def test_read_yaml(text):
    document = read_yaml(text, "f.yaml")
    assert document.data is not None or document.problems
    holds(document.problems, text)


@pytest.fixture(scope="module")
def file(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("fuzz") / "f.yaml"


@given(
    content=st.one_of(
        st.binary(max_size=80),
        st.sampled_from(SHIPPED).flatmap(
            lambda path: st.tuples(st.integers(0, 400), st.binary(max_size=4)).map(
                lambda cut: path.read_bytes()[: cut[0]] + cut[1] + path.read_bytes()[cut[0] :]
            )
        ),
    )
)
@profile(60)
def test_read_text(file, content):
    file.write_bytes(content)
    text = read_text(file, "f.yaml")
    if isinstance(text, Problem):
        holds([text], content.decode("utf-8", "replace"))
    else:
        assert text.encode("utf-8").replace(b"\r", b"") == text.encode("utf-8")


@given(spoiled((BASE / "procedures/fresh-water/pump-checks.md").read_text(encoding="utf-8")))
@profile(60)
def test_placements(text):
    parts = split_front_matter(text, "p.md")
    if isinstance(parts, Problem):
        return holds([parts], text)
    problems: list[Problem] = []
    lines = text.split("\n")
    for one in placements(parts[1], "p.md", parts[2], problems):
        assert f"{{{one.kind}}}" in lines[one.place.line - 1] or f"{{rv:{one.kind}}}" in lines[one.place.line - 1]
        assert lines[one.place.line - 1][one.place.column - 1] in "`:~"
    return holds(problems, text)


@pytest.fixture(scope="module")
def copied(tmp_path_factory) -> Path:
    return Path(shutil.copytree(BASE, tmp_path_factory.mktemp("fuzz") / "knowledge"))


@given(data=st.data())
@profile(60)
def test_load(copied, data):
    name = data.draw(st.sampled_from(FILES))
    text = data.draw(spoiled((BASE / name).read_text(encoding="utf-8")))
    path = copied / name
    try:
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        knowledge = load(copied)
        holds([one for one in knowledge.problems if one.path == name], text)
        assert {one.path for one in knowledge.problems} <= set(FILES)
        assert lost(knowledge, name) == []
        if knowledge.problems == []:
            assert name in knowledge.files
    finally:
        shutil.copy(BASE / name, path)
