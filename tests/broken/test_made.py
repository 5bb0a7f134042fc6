"""Broken files that no repository should hold: made here, read in bounded time, said in words."""

from __future__ import annotations

import json
import os
import random
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sparkgap import cli
from sparkgap.knowledge import load

from tests.broken.overlay import copy, loaded, lost, said

UNIT = 'id: made\ntitle: "{title}"\nsource: demo\nplate: {{motor: brushed}}\n'
NOBODY = 65534
SPLIT = "yaml-syntax more than 20,000 keys and values (split the file)"
NOISE = random.Random(7).randbytes(10_000_000)
SYMPTOM = "kb/symptoms/dc-power/lights-dim.yaml"
PROCEDURE = "procedures/dc-power/supply.md"


@pytest.fixture
def root(tmp_path):
    return copy(tmp_path / "knowledge")


def unit(title: str, more: str = "") -> str:
    return UNIT.format(title=title) + more


def invisible(code: str, place: str = "2:9") -> str:
    return f"{place}: file-unreadable the invisible character U+{code} stands here (take it out, or type a space)"


UNREADABLE = [
    ("ten megabytes of noise", NOISE, "1:1: file-unreadable larger than 2,000,000 bytes (split it)"),
    ("two megabytes of noise", NOISE[:1_999_999], "1:1: file-unreadable not UTF-8 at byte 1 (save it as UTF-8)"),
    ("ten megabytes of one letter", b"x" * 10_000_000, "1:1: file-unreadable larger than 2,000,000 bytes (split it)"),
    ("UTF-16", unit("Made").encode("utf-16"), "1:1: file-unreadable not UTF-8 at byte 0 (save it as UTF-8)"),
    ("UTF-16 without a mark", unit("Made").encode("utf-16-le"), invisible("0000", "1:2")),
    ("latin-1", unit("Caf\u00e9").encode("latin-1"), "1:1: file-unreadable not UTF-8 at byte 20 (save it as UTF-8)"),
    ("a NUL", unit("\0ade").encode(), invisible("0000", "2:9")),
    ("an escape of a terminal", unit("\x1b[2Jade").encode(), invisible("001B", "2:9")),
    ("a second byte order mark", b"\xef\xbb\xbf\xef\xbb\xbf" + unit("Made").encode(), invisible("FEFF", "1:1")),
    ("a byte order mark within", unit("M\ufeffade").encode(), invisible("FEFF", "2:10")),
    ("text that runs backwards", unit("M\u202eade").encode(), invisible("202E", "2:10")),
    ("text in isolation", unit("Ma\u2067de").encode(), invisible("2067", "2:11")),
    ("a line break of another world", unit("Mad\u2028e").encode(), invisible("2028", "2:12")),
    ("half a character in UTF-8", unit("Made").encode() + b"# \xed\xa0\x80\n",
     "1:1: file-unreadable not UTF-8 at byte 62 (save it as UTF-8)"),
]
COSTLY = [
    ("an alias bomb", "a0: &a0 [x, x, x]\n" + "".join(
        f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 40)),
     "1:5: yaml-alias anchors and aliases are not used here (write the value out)"),
    ("very many keys", "".join(f"k{n}: 1\n" for n in range(150_000)), f"10000:8: {SPLIT}"),
    ("very many keys without a value", "".join(f"k{n}:\n" for n in range(150_000)), f"10000:7: {SPLIT}"),
    ("one key very often", "a: 1\n" * 390_000, f"10000:4: {SPLIT}"),
    ("a list without end", unit("Made", "note: [" + "a, " * 600_000 + "]\n"), f"5:59969: {SPLIT}"),
    ("a text without end", unit("Made", 'note: "' + "a" * 1_900_000 + '"\n'),
     "5:1: schema note: must have 4000 characters or fewer (text for a person, in quotes or a block)"),
    ("brackets without end", unit("Made", "note: " + "[" * 1_000_000),
     "5:1006: yaml-syntax not valid YAML: exceeded maximum nesting depth "
     "(check indentation, quotes and colons on this line and the one before)"),
    ("dashes without end", "- " * 900_000, "1:81: yaml-syntax nested deeper than 40 levels (flatten it)"),
    ("questions without end", "? " * 900_000, "1:81: yaml-syntax nested deeper than 40 levels (flatten it)"),
    ("a number without end", unit("Made", "note: " + "9" * 1_900_000 + "\n"),
     "5:7: yaml-ambiguous a number of more than 30 characters (round it)"),
]


@pytest.mark.parametrize(("content", "says"), [row[1:] for row in UNREADABLE], ids=[row[0] for row in UNREADABLE])
@pytest.mark.parametrize("file", ["kb/units/made.yaml", "procedures/fresh-water/made.md"])
def test_what_is_no_text(root, file, content, says):
    (root / file).write_bytes(content)
    knowledge = loaded(root)
    assert said(knowledge) == [f"{file}:{says}"]
    assert lost(knowledge) == []


@pytest.mark.parametrize(("content", "says"), [row[1:] for row in COSTLY], ids=[row[0] for row in COSTLY])
def test_what_could_cost_very_much(root, content, says):
    (root / "kb/units/made.yaml").write_text(content, encoding="utf-8")
    knowledge = loaded(root)
    assert said(knowledge) == [f"kb/units/made.yaml:{says}"]
    assert lost(knowledge) == []


def test_a_hundred_problems_of_a_file_are_enough(root):
    (root / "kb/units/made.yaml").write_text(unit("Made", "".join(f"k{n}: 1\n" for n in range(9_000))), "utf-8")
    lines = said(loaded(root))
    keys = [f"kb/units/made.yaml:{n + 5}:1: schema the file: unknown key 'k{n}' (the keys are id, note, plate, source, "
            "title)" for n in range(100)]
    assert lines == [*keys[:99], "kb/units/made.yaml:104:1: schema and more: the first 100 problems of the file are "
                     "listed (mend these first)", keys[99]]


def test_entries_of_a_list_are_not_compared_each_with_each(root):
    path = root / PROCEDURE
    text = path.read_text("utf-8")
    path.write_text(text.replace("symptoms: [", "symptoms: [" + "lights-dim, {b: c}, " * 4_000), "utf-8")
    knowledge = loaded(root)
    assert len(said(knowledge)) == 101 and {problem.path for problem in knowledge.problems} == {PROCEDURE}
    assert lost(knowledge, PROCEDURE) == []


@pytest.mark.parametrize(("more", "says"), [
    (":::{note}\n" * 100_000, ["text-nested directives nest deeper than 12 levels"]),
    ("```{check} fuse-look" + " " * 500_000 + "x y\n```\n", []),
    ("```{check}" + " " * 500_000 + "\n```\n", ["not-declared a check without a name is placed but not declared"]),
    ("`" * 1_000_000, []), ("> " * 500_000, []), ("[" * 500_000, []), ("- " * 500_000, []),
], ids=["boxes", "spaces between", "spaces after", "fence", "quotes", "brackets", "lists"])
def test_text_that_could_cost_very_much(root, more, says):
    path = root / PROCEDURE
    path.write_text(path.read_text("utf-8") + "\n" + more, "utf-8")
    knowledge = loaded(root)
    assert [line.split(": ", 1)[1].split(" (")[0] for line in said(knowledge)] == says
    assert lost(knowledge) == []


@pytest.mark.parametrize("expression", ["(" * 10_000 + "1" + ")" * 10_000, "9" * 100_000, "+".join("1" * 50_000)])
def test_an_expression_without_end(root, expression):
    path = root / "kb/calculators/wire-drop.yaml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("current * wires_in_run * length * per_length", expression), "utf-8")
    assert said(loaded(root)) == [
        "kb/calculators/wire-drop.yaml:13:61: schema outputs.drop.expression: must have 600 characters or fewer "
        "(in the expression language)"]


# --- what is no ordinary file ---------------------------------------------------------------------------------


@contextmanager
def as_nobody() -> Iterator[None]:
    """Without the rights of an administrator, who may read everything."""
    if os.geteuid():
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_root(root):
    """The copy, its parents open to everybody."""
    if not hasattr(os, "seteuid"):
        pytest.skip("no such rights here")
    for folder in (root, *root.parents):
        if folder.stat().st_uid == os.geteuid() and folder.name.startswith(("pytest", "popen", "test_", "knowledge")):
            folder.chmod(0o755)
    return root


def test_a_file_that_must_not_be_read(open_root):
    (open_root / SYMPTOM).chmod(0)
    with as_nobody():
        knowledge = loaded(open_root)
        lines = [str(problem) for problem in knowledge.problems]
    assert lines == [f"{SYMPTOM}:1:1: file-unreadable Permission denied (check name and permissions)"]
    assert lost(knowledge, SYMPTOM) == []


def test_a_folder_that_must_not_be_read_is_no_empty_folder(open_root):
    folder = open_root / "kb/units"
    folder.chmod(0o311)
    try:
        with as_nobody():
            lines = [str(problem) for problem in load(open_root).problems]
    finally:
        folder.chmod(0o755)
    assert lines == ["kb/units:1:1: file-unreadable Permission denied (check name and permissions)"]


def test_a_directory_a_pipe_and_links(root, tmp_path):
    units = root / "kb/units"
    (units / "folder.yaml").mkdir()
    os.mkfifo(units / "pipe.yaml")
    (units / "ring.yaml").symlink_to("ring.yaml")
    (units / "gone.yaml").symlink_to("nowhere.yaml")
    (units / "zero.yaml").symlink_to("/dev/zero")
    (units / "linked").symlink_to(root / "kb")
    knowledge = loaded(root)
    assert [str(problem) for problem in knowledge.problems] == [
        "kb/units/folder.yaml:1:1: file-unreadable a directory where a file belongs (rename or remove it)",
        "kb/units/gone.yaml:1:1: file-unreadable No such file or directory (check name and permissions)",
        "kb/units/linked:1:1: file-stray a link to a folder is not followed (put the files themselves here)",
        "kb/units/pipe.yaml:1:1: file-unreadable no ordinary file (put a text file in its place)",
        "kb/units/ring.yaml:1:1: file-unreadable Too many levels of symbolic links (check name and permissions)",
        "kb/units/zero.yaml:1:1: file-unreadable no ordinary file (put a text file in its place)",
    ]
    assert lost(knowledge) == []


def test_a_directory_in_the_place_of_each_file_that_is_one_of_a_kind(root):
    (root / "kb/gates.yaml").unlink()
    (root / "kb/gates.yaml").mkdir()
    knowledge = loaded(root)
    assert [str(problem) for problem in knowledge.problems] == [
        "kb/gates.yaml:1:1: file-unreadable a directory where a file belongs (rename or remove it)"]
    assert lost(knowledge, "kb/gates.yaml") == []


def test_a_file_in_the_place_of_a_folder(root):
    for path in (root / "kb/units").iterdir():
        path.unlink()
    (root / "kb/units").rmdir()
    (root / "kb/units").write_text("", "utf-8")
    assert said(loaded(root)) == [
        "kb/units:1:1: file-unreadable a file where a folder belongs (check name and permissions)"]


def test_names_that_no_terminal_should_see(root, capsys):
    for name in (b"\xff.yaml", b"a\nb.yaml", b"\x1b[2J.yaml", "\u202emade.yaml".encode()):
        with open(os.fsencode(root / "kb/units") + b"/" + name, "w", encoding="utf-8") as stream:
            stream.write(unit("Made"))
    knowledge = loaded(root)
    paths = ["kb/units/\\u001b[2J.yaml", "kb/units/\\u202emade.yaml", "kb/units/\\xff.yaml", "kb/units/a\\nb.yaml"]
    assert sorted({problem.path for problem in knowledge.problems}) == paths
    assert lost(knowledge) == [] and len(knowledge.files) == 24
    assert cli.main(["--root", str(root), "check"]) == 1
    printed = capsys.readouterr().out
    assert printed.replace("\n", "").isprintable() and len(printed.splitlines()) == len(knowledge.problems) + 1
    assert cli.main(["--root", str(root), "check", "--json"]) == 1
    assert len(json.loads(capsys.readouterr().out)["problems"]) == len(knowledge.problems)
