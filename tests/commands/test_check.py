"""sparkgap check."""

from __future__ import annotations

import shutil

import pytest

from tests.loaded import BASE, base


@pytest.fixture
def broken(tmp_path):
    """The base with three problems in two files."""
    folder = shutil.copytree(BASE, tmp_path / "knowledge")
    text = "id: wrong\ntitel: no\nsource: demo\nplate: {motor: brushed}\n"
    (folder / "kb/units/wrong.yaml").write_text(text, "utf-8")
    (folder / "kb/lost.yml").write_text("a: 1\n", "utf-8")
    return folder


LINES = [
    "kb/lost.yml:1:1: file-stray nothing reads this file (the folders are kb/tables, kb/units, kb/calculators, "
    "kb/symptoms, kb/faults; names end in .yaml)",
    "kb/units/wrong.yaml:1:1: schema the file: the key 'title' is missing (a short name for people)",
    "kb/units/wrong.yaml:2:1: schema the file: unknown key 'titel' (did you mean title?)",
    'kb/units/wrong.yaml:2:8: yaml-ambiguous YAML reads no as something else (quote it: "no")',
]


def test_sound_knowledge_passes(run):
    ran = run("check")
    assert (ran.code, ran.out, ran.err) == (0, "20 files, no problems\n", "")


def test_every_problem_is_printed_and_the_code_is_one(run, broken):
    ran = run("check", root=broken)
    assert ran.code == 1 and ran.err == ""
    assert ran.out.splitlines() == [*LINES, "21 files, 4 problems"]


def test_only_the_named_paths_count(run, broken):
    ran = run("check", str(broken / "kb/lost.yml"), root=broken)
    assert (ran.code, ran.out.splitlines()) == (1, [LINES[0], "0 files, 1 problem"])
    ran = run("check", str(broken / "procedures"), str(broken / "kb/gates.yaml"), root=broken)
    assert (ran.code, ran.out) == (0, "3 files, no problems\n")
    ran = run("check", str(broken), root=broken)
    assert (ran.code, ran.out.splitlines()[-1]) == (1, "21 files, 4 problems")
    ran = run("check", "--json", str(broken / "kb/lost.yml"), root=broken)
    assert [one["path"] for one in ran.json("problems")["problems"]] == ["kb/lost.yml"]


def test_a_path_is_taken_from_where_one_stands(run, broken, monkeypatch):
    monkeypatch.chdir(broken / "kb")
    assert run("check", "units", root=broken).code == 1
    assert run("check", "gates.yaml", root=broken).out == "1 file, no problems\n"


@pytest.mark.parametrize(("path", "says"), [
    ("kb/gates.yml", "there is no such file or folder"), ("kb/unit", "there is no such file or folder"),
    ("..", "is outside the knowledge in"), ("notes", "holds no knowledge"),
])
def test_a_path_without_knowledge_never_passes(run, tmp_path, monkeypatch, path, says):
    folder = shutil.copytree(BASE, tmp_path / "knowledge")
    (folder / "notes").mkdir()
    monkeypatch.chdir(folder)
    ran = run("check", path, root=folder)
    assert ran.code == 2 and ran.out == "" and says in ran.err.splitlines()[0]
    assert len(ran.err.splitlines()) == 2


def test_json(run, broken):
    assert run("check", "--json").json("problems") == {"digest": base().digest, "problems": []}
    ran = run("check", "--json", root=broken)
    problems = ran.json("problems")["problems"]
    assert ran.code == 1
    shown = [f"{p['path']}:{p['line']}:{p['column']}: {p['code']} {p['message']} ({p['fix']})" for p in problems]
    assert shown == LINES


def test_a_root_without_knowledge_fails(run, tmp_path):
    ran = run("check", root=tmp_path)
    assert ran.code == 1 and "kb/knowledge.yaml:1:1: file-unreadable" in ran.out


def test_many_problems_of_a_kind_do_not_flood_the_screen(run, tmp_path):
    root = shutil.copytree(BASE, tmp_path / "knowledge")
    path = root / "procedures/dc-power/supply.md"
    path.write_text(path.read_text("utf-8") + "\n```{check} none\n```\n" * 1200, "utf-8")
    (root / "kb/lost.yml").write_text("a: 1\n", "utf-8")
    ran = run("check", root=root)
    lines = ran.out.splitlines()
    assert ran.code == 1 and len(lines) == 1 + 200 + 1 + 1
    assert lines[0].startswith("kb/lost.yml:")
    assert all(": not-declared the check 'none' " in one for one in lines[1:201])
    assert lines[201] == ("procedures/dc-power/supply.md: not-declared and 1,000 more "
                          "(mend these first; --json lists all)")
    assert lines[202] == "20 files, 1201 problems"
    assert len(run("check", "--json", root=root).json("problems")["problems"]) == 1201
