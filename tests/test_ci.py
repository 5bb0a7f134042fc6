""".ci/run, .github and the hooks: one command everywhere, and what it installs."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[1]
BASH = shutil.which("bash")
PRESENT = {"chromium": "exit 0", "pdftotext": "exit 0", "fc-list": "echo 'DejaVu Sans'; echo 'Liberation Sans'"}


def program(path: Path, text: str) -> None:
    path.write_text(f"#!{BASH}\n{text}\n")
    path.chmod(0o755)


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """A checkout with .ci/run, and bin/ with every program it may find; each notes its call in calls."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", tmp_path / ".ci" / "run")
    (tmp_path / "bin").mkdir()
    for name, text in PRESENT.items():
        program(tmp_path / "bin" / name, text)
    program(tmp_path / "bin" / "apt-get", 'echo "apt-get $*" >>"$CALLS"')
    program(tmp_path / "bin" / "sudo", '"$@"')
    program(tmp_path / "bin" / "python3",
            '[[ $1 == -c ]] && exit ${NO_ENSUREPIP:-0}\n'
            'echo "python3 $* required=$SPARKGAP_REQUIRE_BROWSER in $PWD" >>"$CALLS"; exit ${CODE:-0}')
    for name in ("dirname", "env"):
        (tmp_path / "bin" / name).symlink_to(shutil.which(name))
    return tmp_path


def ci(machine: Path, **extra: str) -> tuple[int, list[str]]:
    """Run .ci/run from elsewhere: its exit code and the calls it made."""
    calls = machine / "calls"
    done = subprocess.run([BASH, machine / ".ci" / "run"], cwd="/", capture_output=True, timeout=60,
                          env={"PATH": str(machine / "bin"), "CALLS": str(calls), **extra})
    return done.returncode, calls.read_text().splitlines()


def test_where_all_is_there_it_only_runs_the_tests_at_the_root(machine: Path) -> None:
    assert ci(machine) == (0, [f"python3 tools/go.py test required=1 in {machine}"])


def test_its_exit_code_is_that_of_the_tests(machine: Path) -> None:
    assert ci(machine, CODE="3")[0] == 3


@pytest.mark.parametrize(("lost", "packages", "extra"), [
    ({"chromium"}, "chromium", {}),
    ({"pdftotext"}, "poppler-utils", {}),
    ({"fc-list"}, "fonts-dejavu-core fonts-liberation", {}),
    (set(), "python3-venv", {"NO_ENSUREPIP": "1"}),
    ({"chromium", "pdftotext", "fc-list"}, "chromium poppler-utils fonts-dejavu-core fonts-liberation", {}),
])
def test_it_installs_what_is_missing_and_no_more(machine: Path, lost: set[str], packages: str,
                                                 extra: dict[str, str]) -> None:
    for name in lost:
        (machine / "bin" / name).unlink()
    code, calls = ci(machine, **extra)
    assert code == 0
    assert calls[:2] == ["apt-get update", f"apt-get install -y --no-install-recommends {packages}"]
    assert calls[2].startswith("python3 tools/go.py test")


@pytest.mark.parametrize("name", ["chromium-browser", "google-chrome"])
def test_any_chromium_will_do(machine: Path, name: str) -> None:
    (machine / "bin" / "chromium").rename(machine / "bin" / name)
    assert len(ci(machine)[1]) == 1


def test_a_failing_installation_ends_it(machine: Path) -> None:
    (machine / "bin" / "chromium").unlink()
    program(machine / "bin" / "apt-get", 'echo "apt-get $1" >>"$CALLS"; exit 100')
    assert ci(machine) == (100, ["apt-get update"])


def test_it_can_be_executed() -> None:
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


def test_the_workflow_runs_the_same_single_command() -> None:
    workflow = yaml.safe_load((ROOT / ".github" / "workflows" / "check.yml").read_text(encoding="utf-8"))
    steps = [step for job in workflow["jobs"].values() for step in job["steps"]]
    assert [step["run"] for step in steps if "run" in step] == [".ci/run"]
    assert workflow["permissions"] == {"contents": "read"}


def test_the_hooks_are_local() -> None:
    config = yaml.safe_load((ROOT / ".pre-commit-config.yaml").read_text(encoding="utf-8"))
    assert [repository["repo"] for repository in config["repos"]] == ["local"]
    assert [hook["id"] for hook in config["repos"][0]["hooks"]] == ["knowledge", "ruff"]
