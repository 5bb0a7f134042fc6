"""Broken knowledge on the command line: words, an exit code, no traceback, and an earlier site left as it was."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys

import pytest
from sparkgap import cli
from sparkgap.knowledge import load
from sparkgap.knowledge.schemas import validator

from tests.broken.overlay import NAMED, break_file, copy, said, state
from tests.site.builds import ROOT

CHOSEN = ["a quote that never closes", "a fault twice", "a tag that would run code", "an id with steps up",
          "a colour in a title", "an unknown fault", "a limit without a source", "negative minutes",
          "probability over one", "a temperature where a difference belongs", "an access inside itself",
          "front matter that never closes", "directives in directives", "an import", "a tower of powers"]


@pytest.fixture(params=CHOSEN)
def case(request):
    return NAMED[request.param]


@pytest.fixture
def root(case, tmp_path):
    folder = copy(tmp_path / "knowledge")
    break_file(folder, case)
    return folder


def test_check_prints_each_problem_on_a_line(root, case, capsys):
    assert cli.main(["--root", str(root), "check"]) == 1
    printed = capsys.readouterr()
    count = len(case["says"])
    assert printed.err == ""
    lines = printed.out.splitlines()
    assert lines[:-1] == case["says"]
    assert lines[-1] == f"20 files, {count} problem{'s' * (count > 1)}"


def test_check_as_json(root, case, capsys):
    assert cli.main(["--root", str(root), "check", "--json"]) == 1
    value = json.loads(capsys.readouterr().out)
    validator("problems").validate(value)
    assert [f"{p['path']}:{p['line']}:{p['column']}: {p['code']} {p['message']} ({p['fix']})"
            for p in value["problems"]] == case["says"]


@pytest.mark.parametrize("command", [["guide", "pump-silent"], ["calc", "wire-drop"], ["intake", "pump"],
                                     ["card", "pump-checks"]])
def test_no_command_answers_from_broken_knowledge(root, case, command, capsys):
    before = state(root)
    assert cli.main(["--root", str(root), *command]) == 2
    printed = capsys.readouterr()
    lines = printed.err.splitlines()
    assert printed.out == "" and all(line.startswith("sparkgap: ") for line in lines)
    assert [line.removeprefix("sparkgap: ") for line in lines[:5]] == [*case["says"], lines[-1].removeprefix(
        "sparkgap: ")][:5]
    assert lines[-1] == "sparkgap: mend these first; sparkgap check shows all"
    assert state(root) == before


@pytest.mark.site
def test_a_build_is_refused_and_an_earlier_site_stays(tmp_path):
    """The whole command in a process of its own, over an earlier site; every chosen file in turn."""
    root = copy(tmp_path / "knowledge")
    shutil.copytree(ROOT / "conf", root / "conf")
    site = root / ".sparkgap" / "site"
    site.mkdir(parents=True)
    (site / "index.html").write_text("an earlier site", "utf-8")
    (site / "objects.inv").write_bytes(b"earlier")
    earlier = state(site)
    # A process takes seconds to start, so that all the files are broken at once, as far as they differ.
    chosen = {NAMED[name]["file"]: NAMED[name] for name in CHOSEN}
    for case in chosen.values():
        break_file(root, case)
    ran = subprocess.run(
        [sys.executable, "-m", "sparkgap.cli", "--root", str(root), "build"], capture_output=True, text=True,
        env={"PYTHONPATH": str(ROOT / "tools"), "PATH": "", "LC_ALL": "C.UTF-8"}, check=False, timeout=120)
    assert ran.returncode == 2 and ran.stdout == ""
    assert ran.stderr.splitlines() == [
        *said(load(root)), "sparkgap: the site was not built",
        "sparkgap: mend what is said above; sparkgap check says more of the knowledge"]
    assert {line.split(":")[0] for line in ran.stderr.splitlines()} >= set(chosen)
    assert state(site) == earlier
    ran = subprocess.run(
        [sys.executable, "-m", "sparkgap.cli", "--root", str(root), "build", "--out", str(root / "new")],
        capture_output=True, text=True, env={"PYTHONPATH": str(ROOT / "tools"), "PATH": ""}, check=False, timeout=120)
    assert ran.returncode == 2 and not list((root / "new").rglob("*.html"))
