"""The starter script: what it makes, what it leaves alone, and every way in which it says no."""

from __future__ import annotations

import ast
import contextlib
import importlib.util
import json
import os
import signal
import subprocess
import sys
import types
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[1] / "tools" / "go.py"
HERE = f"{sys.version_info.major}.{sys.version_info.minor}"

# --- a checkout whose environment is real, but with a stand-in for pip -------------------------------------

# Called as the Python that runs go.py: environments without pip, which takes seconds, but with its stand-in.
INTERPRETER = """#!/bin/sh
set -e
[ "$1 $2" = "-m venv" ]
"{python}" -m venv --without-pip "$3"
cp "{root}/tools/stand-in/pip.py" "$3"/lib/python*/site-packages/
"""

# Notes how it was called and points the environment to tools/, as an editable installation does.
PIP = """
import json, os, pathlib, sys
here = pathlib.Path(__file__).parent
here.joinpath("sparkgap.pth").write_text(os.path.join(os.getcwd(), "tools"))
names = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PYTHONPATH", "VIRTUAL_ENV")
with open(os.path.join(sys.prefix, "pip-calls"), "a") as calls:
    print(json.dumps([sys.argv[1:], {name: os.environ.get(name) for name in names}]), file=calls)
"""

# Stands for both programs: says how it was called, obeys CODE_<verb>, and waits when told to.
STAND_IN = '''
import json, os, sys, time
names = ("PYTHONPYCACHEPREFIX", "HYPOTHESIS_STORAGE_DIRECTORY", "VIRTUAL_ENV", "PYTHONPATH",
         "SPARKGAP_BROWSER")
print(json.dumps({"program": PROGRAM, "arguments": sys.argv[1:], "prefix": sys.prefix, "at": os.getcwd(),
                  "variables": {name: os.environ.get(name) for name in names}}), flush=True)
while os.environ.get("WAIT") == sys.argv[1]:
    time.sleep(0.05)
sys.exit(int(os.environ.get("CODE_" + sys.argv[1].lstrip("-"), "0")))
'''


def lay_out(root: Path) -> Path:
    """A checkout with the real go.py, and stand-ins for sparkgap and pytest."""
    package = root / "tools" / "sparkgap"
    package.mkdir(parents=True)
    (root / "pyproject.toml").write_text("[project]\n")
    (root / "tools" / "go.py").write_bytes(SCRIPT.read_bytes())
    (root / "tools" / "stand-in").mkdir()
    (root / "tools" / "stand-in" / "pip.py").write_text(PIP)
    (root / "interpreter").write_text(INTERPRETER.format(python=sys.executable, root=root))
    (root / "interpreter").chmod(0o755)
    (package / "__init__.py").write_text("")
    (package / "cli.py").write_text(STAND_IN.replace("PROGRAM", '"sparkgap"'))
    (root / "tools" / "pytest.py").write_text(STAND_IN.replace("PROGRAM", '"pytest"'))
    return root


def variables(**extra: str) -> dict[str, str]:
    """A clean set of variables."""
    kept = {name: value for name, value in os.environ.items()
            if not name.startswith(("SPARKGAP_", "PYTEST_", "PIP_", "PYTHON"))}
    return {**kept, **extra}


def command(root: Path, *arguments: str) -> list[str]:
    """go.py, run by this Python under the name of the checkout's interpreter."""
    # A shell's background job ignores Ctrl-C, and so would all that it starts, these tests included.
    run = "import runpy, signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); " \
          "del sys.argv[0]; sys.executable = sys.argv.pop(0); runpy.run_path(sys.argv[0], run_name='__main__')"
    return [sys.executable, "-c", run, str(root / "interpreter"), str(root / "tools" / "go.py"), *arguments]


def go(root: Path, *arguments: str, **extra: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command(root, *arguments), env=variables(**extra), cwd=root.parent,
                          capture_output=True, text=True, timeout=120)


def pip_calls(root: Path) -> list:
    """How pip was called, in order: arguments and variables."""
    text = (root / ".sparkgap" / "venv" / "pip-calls").read_text()
    return [json.loads(line) for line in text.splitlines()]


def calls(done: subprocess.CompletedProcess[str]) -> list[dict]:
    """How the stand-ins were called, in order."""
    return [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> types.SimpleNamespace:
    """A checkout at a path with spaces, set up once; `first` is that run."""
    root = lay_out(tmp_path_factory.mktemp("go") / "a check out")
    before = {path.relative_to(root) for path in root.rglob("*")}
    foreign = ("VIRTUAL_ENV", "CONDA_PREFIX", "PYTHONPATH", "PIP_TARGET", "PIP_PREFIX")
    first = go(root, "site", "--no-serve", PIP_USER="1", **dict.fromkeys(foreign, "/nowhere"))
    return types.SimpleNamespace(root=root, before=before, first=first)


@pytest.fixture
def script(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> types.ModuleType:
    """go.py as a module, working in a directory of its own."""
    spec = importlib.util.spec_from_file_location("go_under_test", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    built = tmp_path / ".sparkgap"
    for name, path in {"ROOT": tmp_path, "BUILT": built, "VENV": built / "venv",
                       "PYTHON": built / "venv" / "bin" / "python",
                       "STAMP": built / "venv" / "installed.json"}.items():
        monkeypatch.setattr(module, name, path)
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    monkeypatch.setattr(signal, "signal", lambda *_: None)  # this process keeps its own handlers
    monkeypatch.delenv("SPARKGAP_BROWSER", raising=False)
    monkeypatch.delenv("SPARKGAP_REQUIRE_BROWSER", raising=False)
    return module


# --- the whole way -----------------------------------------------------------------------------------------


def test_the_first_run_sets_up_checks_and_builds(checkout: types.SimpleNamespace) -> None:
    first, root = checkout.first, checkout.root
    assert (first.returncode, first.stderr) == (0, "")
    said = [line for line in first.stdout.splitlines() if not line.startswith(("{", "  still"))]
    assert said[:2] == ["Making the environment in .sparkgap/venv.",
                        "Installing what Sparkgap needs. This may take a few minutes."]
    assert said[2].startswith("The environment is ready (")
    assert said[3:] == ["Checking the knowledge.", "Building the site."]
    assert [call["arguments"] for call in calls(first)] == [["check"], ["build"]]
    for call in calls(first):
        assert call["at"] == str(root)
        assert call["prefix"] == str(root / ".sparkgap" / "venv")
        assert call["variables"] == {
            "PYTHONPYCACHEPREFIX": str(root / ".sparkgap" / "pycache"),
            "HYPOTHESIS_STORAGE_DIRECTORY": str(root / ".sparkgap" / "hypothesis"),
            "VIRTUAL_ENV": None, "PYTHONPATH": None, "SPARKGAP_BROWSER": None}


INSTALL = ["install", "--quiet", "--no-input", "--no-compile", "--disable-pip-version-check", "--editable"]


def test_pip_installs_into_the_environment_alone(checkout: types.SimpleNamespace) -> None:
    assert pip_calls(checkout.root)[0] == [[*INSTALL, "."], {
        "PIP_USER": "0", "PIP_TARGET": None, "PIP_PREFIX": None, "PYTHONPATH": None, "VIRTUAL_ENV": None}]


def test_everything_made_lies_in_one_directory(checkout: types.SimpleNamespace) -> None:
    after = {path.relative_to(checkout.root) for path in checkout.root.rglob("*")}
    assert {path.parts[0] for path in after - checkout.before} == {".sparkgap"}


def test_the_second_run_installs_nothing_and_serves(checkout: types.SimpleNamespace) -> None:
    stamp = checkout.root / ".sparkgap" / "venv" / "installed.json"
    written = stamp.stat().st_mtime_ns
    done = go(checkout.root, "site", "--port", "8123")
    assert done.returncode == 0
    assert "environment" not in done.stdout
    assert [call["arguments"] for call in calls(done)] == [
        ["check"], ["build"], ["serve", "--no-build", "--port", "8123"]]
    assert stamp.stat().st_mtime_ns == written


def test_the_port_is_left_to_the_server_unless_given(checkout: types.SimpleNamespace) -> None:
    assert calls(go(checkout.root, "site"))[-1]["arguments"] == ["serve", "--no-build"]


@pytest.mark.parametrize(("verb", "ran", "words"), [
    ("check", ["check"], "The knowledge has the problems named above. No site built.\n"),
    ("build", ["check", "build"], "The site could not be built, for the reason named above.\n"),
])
def test_a_failing_step_ends_it_with_its_own_code(checkout: types.SimpleNamespace, verb: str, ran: list[str],
                                                  words: str) -> None:
    done = go(checkout.root, "site", **{f"CODE_{verb}": "3"})
    assert (done.returncode, done.stderr) == (3, words)
    assert [call["arguments"][0] for call in calls(done)] == ran


def test_run_hands_everything_to_sparkgap(checkout: types.SimpleNamespace) -> None:
    done = go(checkout.root, "run", "--help", "-m", "calc x", CODE_help="7")
    assert done.returncode == 7
    assert calls(done)[0]["arguments"] == ["--help", "-m", "calc x"]


def test_test_adds_its_extra_and_leaves_out_what_needs_a_browser(checkout: types.SimpleNamespace) -> None:
    left_out = ("The browser tests were left out: no Chromium was found (tried chromium, chromium-browser, "
                "google-chrome). Install Chromium or set SPARKGAP_BROWSER.")
    done = go(checkout.root, "test", "-k", "a b", "--maxfail=2", PATH="/nowhere", CODE_n="5")
    assert done.returncode == 5
    assert "Installing what Sparkgap needs with its tests. This may take a few minutes." in done.stdout
    assert "Making the environment" not in done.stdout
    assert [call[0] for call in pip_calls(checkout.root)] == [[*INSTALL, "."], [*INSTALL, ".[test]"]]
    assert done.stdout.splitlines()[-1] == left_out
    (call,) = calls(done)
    assert call["program"] == "pytest"
    assert call["arguments"] == ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile",
                                 "-m", "not browser", "-k", "a b", "--maxfail=2"]
    # What is installed for the tests serves the site as well.
    assert "Installing" not in go(checkout.root, "site", "--no-serve").stdout


def test_named_tests_run_without_workers_and_marks_are_joined(checkout: types.SimpleNamespace) -> None:
    done = go(checkout.root, "test", "tools/pytest.py::test_x", "-m", "site", PATH="/nowhere")
    assert calls(done)[0]["arguments"] == ["-m", "(site) and not browser", "tools/pytest.py::test_x"]


def test_with_a_browser_nothing_is_left_out(checkout: types.SimpleNamespace, tmp_path: Path) -> None:
    browser = program(tmp_path / "chromium", 0)
    done = go(checkout.root, "test", PATH=str(tmp_path), SPARKGAP_REQUIRE_BROWSER="1")
    (call,) = calls(done)
    assert call["arguments"] == ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile"]
    assert call["variables"]["SPARKGAP_BROWSER"] == str(browser)
    assert done.stdout.splitlines()[-1].startswith("{")


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize(("sent", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_stopping_it_stops_the_server_too(checkout: types.SimpleNamespace, sent: signal.Signals,
                                          code: int) -> None:
    running = subprocess.Popen(command(checkout.root, "site"), text=True, env=variables(WAIT="serve"),
                               stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)
    try:
        for line in running.stdout:
            if '"serve"' in line:
                break
        if sent == signal.SIGINT:
            os.killpg(running.pid, sent)  # as a terminal does
        else:
            running.send_signal(sent)
        _, errors = running.communicate(timeout=30)
        assert running.returncode == code
        assert errors.endswith("\nStopped.\n")
        with pytest.raises(ProcessLookupError):
            os.killpg(running.pid, 0)  # nobody is left
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(running.pid, signal.SIGKILL)


# --- stamps -------------------------------------------------------------------------------------------------


def stamped(script: types.ModuleType, monkeypatch: pytest.MonkeyPatch, **changes: object) -> None:
    """A finished environment without its extra, but for the changes."""
    script.VENV.mkdir(parents=True)
    monkeypatch.setattr(script, "venv_version", lambda: HERE)
    script.STAMP.write_text(json.dumps({**script.wanted(set()), "python": HERE, **changes}))


@pytest.mark.parametrize(("changes", "todo"), [
    ({}, "ready"),
    ({"extras": ["test"]}, "ready"),
    ({"pyproject": "other"}, "install"),
    ({"python": "3.5"}, "make"),
    ({"python": ""}, "make"),
    ({"root": "/elsewhere"}, "make"),
])
def test_the_stamp_decides(script: types.ModuleType, monkeypatch: pytest.MonkeyPatch, changes: dict,
                           todo: str) -> None:
    stamped(script, monkeypatch, **changes)
    assert script.state(set()) == todo


def test_a_missing_extra_is_installed_into_the_environment(script, monkeypatch) -> None:
    stamped(script, monkeypatch)
    assert script.state({"test"}) == "install"


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '"x"'])
def test_a_stamp_that_cannot_be_read_is_none(script, monkeypatch, text: str) -> None:
    stamped(script, monkeypatch)
    script.STAMP.write_text(text)
    assert script.state(set()) == "make"


def test_a_changed_pyproject_is_seen(script, monkeypatch) -> None:
    stamped(script, monkeypatch)
    (script.ROOT / "pyproject.toml").write_text("[project]\nname = 'x'\n")
    assert script.state(set()) == "install"


def test_an_interpreter_that_is_gone_has_no_version(script) -> None:
    assert script.venv_version() == ""
    script.PYTHON.parent.mkdir(parents=True)
    script.PYTHON.symlink_to(sys.executable)
    assert script.venv_version() == HERE


def test_an_interrupted_installation_leaves_no_stamp_and_is_made_again(script, monkeypatch, capsys) -> None:
    stamped(script, monkeypatch, pyproject="other")
    (script.VENV / "half").write_text("")

    def interrupted(command: list, what: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(script, "run_quietly", interrupted)
    monkeypatch.setattr(script, "site", lambda options: script.set_up(set()))
    assert script.main(["site"]) == 130
    assert capsys.readouterr().err == "\nStopped.\n"
    assert not script.STAMP.exists()

    ran = []
    monkeypatch.setattr(script, "run_quietly", lambda command, what: ran.append(what) or script.VENV.mkdir(
        exist_ok=True) or "")
    script.set_up(set())
    assert "Removing the unfinished or outdated environment." in capsys.readouterr().out
    assert ran == ["making the environment", "installing"]
    assert not (script.VENV / "half").exists()
    assert script.state(set()) == "ready"


def test_an_interrupted_removal_leaves_no_stamp(script, monkeypatch) -> None:
    stamped(script, monkeypatch, root="/elsewhere")

    def interrupted(path: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(script.shutil, "rmtree", interrupted)
    assert script.main(["run"]) == 130
    assert not script.STAMP.exists()


def test_an_installation_anew_keeps_the_extras_there_were(script, monkeypatch) -> None:
    stamped(script, monkeypatch, pyproject="other", extras=["test"])
    ran = []
    monkeypatch.setattr(script, "run_quietly", lambda command, what: ran.append(command[-1]) or "")
    script.set_up(set())
    assert ran == [".[test]"]
    assert script.state({"test"}) == "ready"


def test_a_second_first_run_waits_for_the_first(script, monkeypatch, capsys) -> None:
    fcntl = pytest.importorskip("fcntl")
    script.BUILT.mkdir()
    modes = []

    def flock(file: object, mode: int) -> None:
        modes.append(mode)
        if mode & fcntl.LOCK_NB:
            raise BlockingIOError

    monkeypatch.setattr(fcntl, "flock", flock)
    with script.only_one():
        assert modes == [fcntl.LOCK_EX | fcntl.LOCK_NB, fcntl.LOCK_EX]
    assert capsys.readouterr().out == "Another run is setting up the environment. Waiting for it.\n"


# --- no, and why --------------------------------------------------------------------------------------------


def program(path: Path, code: int) -> Path:
    """An executable that ends with a code."""
    path.write_text(f"#!/bin/sh\nexit {code}\n")
    path.chmod(0o755)
    return path


def refusal(script: types.ModuleType, capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What the script says when it says no."""
    assert script.main(list(arguments)) == 1
    return capsys.readouterr().err


@pytest.mark.parametrize("minor", [6, 8, 10])
def test_an_old_python_can_read_the_script(minor: int) -> None:
    source = SCRIPT.read_text(encoding="utf-8")
    ast.parse(source, feature_version=(3, minor))
    assert "from __future__" not in source  # Python 3.6 does not know annotations


def test_too_old_a_python_names_a_newer_one(script, monkeypatch, tmp_path, capsys) -> None:
    program(tmp_path / "python3.11", 127)  # there, but it does not start
    program(tmp_path / "python3.13", 0)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(sys, "version_info", (3, 8, 18, "final", 0))
    assert refusal(script, capsys, "test", "-k", "a b") == (
        f"Sparkgap needs python3.11 or newer; this is Python 3.8.18 ({sys.executable}).\n"
        "There is a newer one. Run: python3.13 tools/go.py test -k 'a b'\n")


def test_too_old_a_python_with_no_newer_one(script, monkeypatch, capsys) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    monkeypatch.setattr(sys, "version_info", (3, 10, 13, "final", 0))
    assert refusal(script, capsys, "site") == (
        f"Sparkgap needs python3.11 or newer; this is Python 3.10.13 ({sys.executable}).\n"
        "Install one and run: python3.11 tools/go.py site\n")


@pytest.mark.parametrize(("absent", "words"), [
    ({"ensurepip"}, "no ensurepip module"), ({"venv", "ensurepip"}, "no venv and no ensurepip module")])
def test_a_python_without_venv_says_what_to_install(script, monkeypatch, capsys, absent: set[str],
                                                    words: str) -> None:
    real = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name in absent else real(name))
    assert refusal(script, capsys, "site") == (
        f"This Python has {words} ({sys.executable}).\n"
        "On Debian and Ubuntu: sudo apt install python3-venv. Then run the same command again.\n")
    assert not script.VENV.exists()


def test_an_environment_that_cannot_be_made(script, monkeypatch, tmp_path, capsys) -> None:
    fake = tmp_path / "python"
    fake.write_text("#!/bin/sh\necho one\necho no pip here >&2\nexit 1\n")
    fake.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(fake))
    assert refusal(script, capsys, "site") == (
        "The environment could not be made:\n  | one\n  | no pip here\n"
        "Mend what it names (on Debian often: sudo apt install python3-venv), "
        "and run the same command again.\n")


CONNECT = "Connect this machine, or name an index or proxy that it can reach (PIP_INDEX_URL, HTTPS_PROXY)"


@pytest.mark.parametrize(("said", "hint"), [
    ("ERROR: No matching distribution found for hatchling", CONNECT),
    ("WARNING: Failed to establish a new connection", CONNECT),
    ("Temporary failure in name resolution", CONNECT),
    ("ReadTimeoutError: timed out", CONNECT),
    ("ERROR: [Errno 28] No space left on device", "The disk is full. Make room"),
    ("ERROR: [Errno 13] Permission denied", "Something there belongs to another user. Delete .sparkgap/"),
    ("CERTIFICATE_VERIFY_FAILED on connection", "Set PIP_CERT to the certificate file of this network"),
    ("error: something else", "Mend what pip names, or delete .sparkgap/"),
])
def test_a_failed_installation_shows_pips_last_words_and_a_way_out(script, monkeypatch, capsys, said: str,
                                                                   hint: str) -> None:
    stamped(script, monkeypatch, pyproject="other")
    script.PYTHON.parent.mkdir()
    lines = "".join(f"echo line {number}\n" for number in range(20))
    script.PYTHON.write_text(f"#!/bin/sh\n{lines}echo '{said}' >&2\nexit 2\n")
    script.PYTHON.chmod(0o755)
    tail = "".join(f"  | line {number}\n" for number in range(9, 20))
    assert refusal(script, capsys, "site") == (
        f"pip could not install what Sparkgap needs:\n{tail}  | {said}\n"
        f"{hint}, and run the same command again.\n")
    assert script.state(set()) == "make"


def test_no_right_to_write(script, capsys) -> None:
    script.BUILT.write_text("a file in the way")
    assert refusal(script, capsys, "site") == (
        f"Sparkgap cannot set itself up: File exists ({script.BUILT}).\n"
        "Put the checkout where you may write, and run the same command again.\n")


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")
def test_no_right_to_write_for_real(script, capsys) -> None:
    script.ROOT.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)  # root may write everywhere, so be nobody for a moment
    try:
        assert "Permission denied" in refusal(script, capsys, "site")
    finally:
        if root:
            os.seteuid(0)
        script.ROOT.chmod(0o755)


def test_permission_denied_is_said_in_words(script, monkeypatch, capsys) -> None:
    def denied(path: Path, **_: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "mkdir", denied)
    assert refusal(script, capsys, "test").startswith(
        f"Sparkgap cannot set itself up: Permission denied ({script.BUILT}).\n")


def test_a_silent_program_gives_signs_of_life(script, monkeypatch, capsys) -> None:
    monkeypatch.setattr(script, "HEARTBEAT", 0.2)
    failure = script.run_quietly([sys.executable, "-c", "import time; time.sleep(0.7); raise SystemExit(4)"],
                                 "waiting")
    assert failure == "  | no message, exit code 4"
    assert capsys.readouterr().out.startswith("  still waiting (0 s so far)\n")
    assert script.run_quietly([sys.executable, "-c", "print('fine')"], "waiting") == ""


# --- the browser --------------------------------------------------------------------------------------------


def test_the_first_browser_that_starts_is_taken(script, monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert script.find_browser() == ""
    program(tmp_path / "chromium", 1)  # a stub that only gives advice
    google = program(tmp_path / "google-chrome", 0)
    assert script.find_browser() == str(google)
    other = program(tmp_path / "chromium-browser", 0)
    assert script.find_browser() == str(other)
    mine = program(tmp_path / "my own browser", 0)
    monkeypatch.setenv("SPARKGAP_BROWSER", str(mine))
    assert script.find_browser() == str(mine)


def test_a_wrong_browser_is_not_passed_over(script, monkeypatch, tmp_path, capsys) -> None:
    program(tmp_path / "chromium", 0)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("SPARKGAP_BROWSER", "no-such-thing")
    assert refusal(script, capsys, "test") == (
        "SPARKGAP_BROWSER is no-such-thing, which is not a program that starts.\n"
        "Set it to the path of a Chromium, or unset it, and run the same command again.\n")


def test_a_required_browser_that_is_missing_fails_at_once(script, monkeypatch, capsys) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    monkeypatch.setenv("SPARKGAP_REQUIRE_BROWSER", "1")
    assert refusal(script, capsys, "test") == (
        "The browser tests are required (SPARKGAP_REQUIRE_BROWSER=1), but no Chromium was found "
        "(tried chromium, chromium-browser, google-chrome).\n"
        "Install Chromium, or set SPARKGAP_BROWSER to its path, and run the same command again.\n")
    assert not script.BUILT.exists()


# --- arguments ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "number"), [("0", 0), ("8000", 8000), ("65535", 65535)])
def test_a_port(script, text: str, number: int) -> None:
    assert script.parse(["site", "--port", text]).port == number


@pytest.mark.parametrize("text", ["65536", "-1", "80.5", "http", "", "²"])
def test_no_port(script, capsys, text: str) -> None:
    with pytest.raises(SystemExit) as stopped:
        script.parse(["site", f"--port={text}"])
    assert stopped.value.code == 2
    assert f"{text!r} is not a port: give a whole number from 0 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize(("arguments", "words"), [
    ([], "the following arguments are required"),
    (["sight"], "invalid choice: 'sight'"),
    (["site", "-x", "y"], "unknown argument: -x y"),
])
def test_other_mistakes_on_the_command_line(script, capsys, arguments: list[str], words: str) -> None:
    with pytest.raises(SystemExit) as stopped:
        script.main(arguments)
    assert stopped.value.code == 2
    assert words in capsys.readouterr().err
