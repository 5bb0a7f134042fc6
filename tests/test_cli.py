"""The command as a process: exit codes, no traceback, words where they belong."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest
from sparkgap import __version__, cli
from sparkgap.commands import build
from sparkgap.commands.common import Refused, find_root

from tests.loaded import BASE, ROOT


def process(*arguments: str, cwd=BASE, **more) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "tools"), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run([sys.executable, "-m", "sparkgap.cli", *arguments], cwd=cwd, env=environment, timeout=60,
                          capture_output=True, text=True, encoding="utf-8", **more)


def test_a_process_finds_the_knowledge_where_it_stands():
    ran = process("check", cwd=BASE / "kb" / "units")
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "20 files, no problems\n", "")


def test_a_reader_that_goes_away_is_no_error():
    if sys.platform == "win32":
        pytest.skip("no head here")
    line = f"'{sys.executable}' -m sparkgap.cli guide pump-silent --json | head -n 1"
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "tools")}
    ran = subprocess.run(["sh", "-c", line], cwd=BASE, env=environment, capture_output=True, text=True, timeout=60)
    assert (ran.stdout, ran.stderr) == ("{\n", "")


@pytest.mark.parametrize("arguments", [[], ["chek"], ["guide"], ["calc"], ["card"], ["intake"], ["check", "--jsn"]])
def test_a_wrong_command_line_is_code_two_with_the_usage(arguments, capsys):
    with pytest.raises(SystemExit) as stop:
        cli.main(arguments)
    assert stop.value.code == 2
    assert capsys.readouterr().err.startswith("usage: sparkgap ")


def test_version_and_help(capsys):
    for arguments in (["--version"], ["--help"], *([name, "--help"] for name in cli._COMMANDS)):
        with pytest.raises(SystemExit) as stop:
            cli.main(arguments)
        assert stop.value.code == 0
    out = capsys.readouterr().out
    assert out.startswith(f"sparkgap {__version__}\n")
    assert all(f"usage: sparkgap {name} " in out for name in cli._COMMANDS)


def test_the_root_is_found_above_and_refused_where_there_is_none(tmp_path, monkeypatch):
    assert find_root(BASE / "procedures" / "dc-power") == BASE
    assert find_root(tmp_path) == ROOT  # the checkout that the package stands in
    monkeypatch.setattr("sparkgap.commands.common.__file__", str(tmp_path / "a/b/c/d.py"))
    with pytest.raises(Refused, match="no knowledge found in"):
        find_root(tmp_path)


def test_broken_knowledge_gives_no_answers(tmp_path, capsys):
    folder = shutil.copytree(BASE, tmp_path / "knowledge")
    for number in range(7):
        (folder / f"kb/units/u{number}.yaml").write_text("", "utf-8")
    for arguments in (["guide", "pump-silent"], ["calc", "wire-drop"], ["card", "supply"], ["intake", "dead"]):
        assert cli.main(["--root", str(folder), *arguments]) == 2
        err = capsys.readouterr().err.splitlines()
        assert len(err) == 7 and err[0].startswith("sparkgap: kb/units/u0.yaml:1:1: yaml-null ")
        assert err[-2:] == ["sparkgap: … and 2 more", "sparkgap: mend these first; sparkgap check shows all"]


def test_an_interrupt_is_said_in_a_word(monkeypatch, capsys):
    def stop(options):
        raise KeyboardInterrupt

    monkeypatch.setattr("sparkgap.commands.check.run", stop)
    assert cli.main(["check"]) == 130
    assert capsys.readouterr().err == "sparkgap: stopped\n"


def test_build_and_serve_pass_on_what_the_site_says(tmp_path, monkeypatch, capsys):
    seen = []
    monkeypatch.setattr(build, "build", lambda root, out, doctrees, jobs: seen.append((root, out, jobs)) or 0)
    monkeypatch.setattr(build, "serve", lambda out, port: seen.append((out, port)) or 1)
    assert cli.main(["--root", str(BASE), "build", "--out", str(tmp_path), "--jobs", "2"]) == 0
    assert capsys.readouterr().out == f"built {tmp_path}\n"
    assert cli.main(["--root", str(BASE), "serve", "--port", "8123"]) == 1
    site = BASE / ".sparkgap" / "site"
    assert seen == [(BASE, tmp_path, 2), (BASE, site, 1), (site, 8123)]
    assert cli.main(["--root", str(BASE), "serve", "--no-build", "--out", str(tmp_path)]) == 2
    assert capsys.readouterr().err.startswith(f"sparkgap: there is no site in {tmp_path}\n")
    (tmp_path / "index.html").write_text("", "utf-8")
    assert cli.main(["--root", str(BASE), "serve", "--no-build", "--out", str(tmp_path)]) == 1
    assert seen[3:] == [(tmp_path, 8000)]
    monkeypatch.setattr(build, "build", lambda root, out, doctrees, jobs: 2)
    assert cli.main(["--root", str(BASE), "build"]) == 2
    assert capsys.readouterr().err.startswith("sparkgap: the site was not built\n")
