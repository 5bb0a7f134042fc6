"""Set Sparkgap up on this machine and run it. One file, standard library only.

    python3 tools/go.py site [--no-serve] [--port N]   check the knowledge, build the site, serve it
    python3 tools/go.py test [pytest arguments]        run all tests
    python3 tools/go.py run ARGUMENTS                  run `sparkgap ARGUMENTS` in the environment

Everything it makes lies in .sparkgap/ in the checkout: delete that directory and it starts afresh.
The file parses under Python 3.6, so that an old Python can say that it is too old; hence the plain hints.
"""

import argparse
import contextlib
import hashlib
import importlib.util
import json
import os
import shlex
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

NEEDED = (3, 11)
ROOT = Path(__file__).resolve().parent.parent
BUILT = ROOT / ".sparkgap"
VENV = BUILT / "venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "installed.json"  # inside the environment, so that it cannot outlive it
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
TAIL = 12  # lines of a failed program's output that are shown
HEARTBEAT = 20  # seconds between two signs of life of a silent program
GRACE = 5  # seconds a program gets to end by itself after Ctrl-C
AGAIN = "run the same command again"

# What to do about a failed installation, by pieces of pip's message; the last entry fits every message.
PIP_HINTS = (
    (("No space left on device",), "The disk is full. Make room"),
    (("Permission denied",), "Something there belongs to another user. Delete .sparkgap/"),
    (("CERTIFICATE_VERIFY_FAILED",), "Set PIP_CERT to the certificate file of this network"),
    (("name resolution", "onnection", "timed out", "No matching distribution"),
     "Connect this machine, or name an index or proxy that it can reach (PIP_INDEX_URL, HTTPS_PROXY)"),
    (("",), "Mend what pip names, or delete .sparkgap/"),
)


class Trouble(Exception):
    """Something the person at the keyboard can mend; the text says what and how."""


class Terminated(KeyboardInterrupt):
    """Another program asked this one to end."""


def say(text: str) -> None:
    """One line of progress, in order with what the child programs print."""
    print(text, flush=True)


def starts(*command: str) -> bool:
    """Whether a program runs to a good end; a file of the right name may be a stub."""
    try:
        return subprocess.call(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=60) == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def require_python(argv: list) -> None:
    """Refuse a Python that is too old and name a better one."""
    if tuple(sys.version_info[:2]) >= NEEDED:
        return
    here = ".".join(str(part) for part in sys.version_info[:3])
    names = [f"python{NEEDED[0]}.{minor}" for minor in range(NEEDED[1], NEEDED[1] + 10)]
    found = [name for name in names if shutil.which(name) and starts(name, "-c", "")]
    command = " ".join(shlex.quote(part) for part in [*(found or names)[:1], "tools/go.py", *argv])
    raise Trouble(f"Sparkgap needs {names[0]} or newer; this is Python {here} ({sys.executable}).\n"
                  f"{'There is a newer one. Run' if found else 'Install one and run'}: {command}")


def environment() -> dict:
    """The variables of child programs: ours alone decide which packages are seen and where caches lie."""
    foreign = {"VIRTUAL_ENV", "CONDA_PREFIX", "PYTHONHOME", "PYTHONPATH", "PYTHONSTARTUP",
               "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_PYTHON", "__PYVENV_LAUNCHER__"}
    kept = {name: value for name, value in os.environ.items() if name not in foreign}
    return dict(kept, PIP_USER="0", PYTHONNOUSERSITE="1", PYTHONPYCACHEPREFIX=str(BUILT / "pycache"),
                HYPOTHESIS_STORAGE_DIRECTORY=str(BUILT / "hypothesis"))


@contextlib.contextmanager
def started(command: list, **options: object) -> Iterator:
    """A program running in the checkout. It does not outlive this one, but may end by itself on Ctrl-C."""
    child = subprocess.Popen([str(part) for part in command], cwd=ROOT, env=environment(), **options)
    try:
        yield child
    except KeyboardInterrupt as interrupt:
        if not isinstance(interrupt, Terminated):  # of Ctrl-C the terminal has told it as well
            with contextlib.suppress(subprocess.TimeoutExpired):
                child.wait(GRACE)
        raise
    finally:
        child.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(GRACE)
        child.kill()


def run(command: list) -> int:
    """Run a program with its output shown; its exit code, as a shell would give it."""
    with started(command) as child:
        code = child.wait()
    return code if code >= 0 else 128 - code


def run_quietly(command: list, what: str) -> str:
    """Run a program with signs of life only; what it said, indented, if it failed, else nothing."""
    begun = time.monotonic()
    with started(command, text=True, errors="replace", stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                 stderr=subprocess.STDOUT) as child:
        while True:
            try:
                output = child.communicate(timeout=HEARTBEAT)[0]
                break
            except subprocess.TimeoutExpired:
                say(f"  still {what} ({time.monotonic() - begun:.0f} s so far)")
    lines = output.strip().splitlines()[-TAIL:] or [f"no message, exit code {child.returncode}"]
    return "\n".join("  | " + line for line in lines) if child.returncode else ""


def wanted(extras: set) -> dict:
    """What a finished installation is stamped with; the environment itself tells its Python."""
    pyproject = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    return {"pyproject": pyproject, "root": str(ROOT), "extras": sorted(extras)}


def read_stamp() -> dict:
    """The stamp of the last finished installation; empty when there is none that can be read."""
    with contextlib.suppress(OSError, ValueError):
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
        return stamp if isinstance(stamp, dict) else {}
    return {}


def venv_version() -> str:
    """The version of the environment's Python, as "3.11"; empty when it does not start."""
    ask = "import sys; print('%d.%d' % sys.version_info[:2])"
    try:
        done = subprocess.run([PYTHON, "-I", "-S", "-c", ask], capture_output=True, text=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def state(extras: set) -> str:
    """What there is to do: "ready", "install" (into the environment there is) or "make" (a new one)."""
    stamp, want = read_stamp(), wanted(extras)
    if not stamp.get("python") or stamp.get("root") != want["root"] or stamp["python"] != venv_version():
        return "make"
    if stamp.get("pyproject") != want["pyproject"] or not extras <= set(stamp.get("extras", ())):
        return "install"
    return "ready"


@contextlib.contextmanager
def only_one() -> Iterator:
    """Keep two first runs at the same time from making one environment; the second one waits."""
    try:
        import fcntl
    except ImportError:  # Windows: two first runs at once are the user's to avoid
        yield
        return
    with open(BUILT / "setup.lock", "w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another run is setting up the environment. Waiting for it.")
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def make_venv() -> None:
    """A new, empty environment in place of whatever is there."""
    absent = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if absent:  # Debian and Ubuntu ship them apart
        raise Trouble(f"This Python has no {' and no '.join(absent)} module ({sys.executable}).\n"
                      f"On Debian and Ubuntu: sudo apt install python3-venv. Then {AGAIN}.")
    if VENV.exists():
        say("Removing the unfinished or outdated environment.")
        STAMP.unlink(missing_ok=True)  # first, or an interrupted removal would leave a stamped ruin
        shutil.rmtree(VENV)
    say("Making the environment in .sparkgap/venv.")
    failure = run_quietly([sys.executable, "-m", "venv", VENV], "making the environment")
    if failure:
        raise Trouble(f"The environment could not be made:\n{failure}\n"
                      f"Mend what it names (on Debian often: sudo apt install python3-venv), and {AGAIN}.")


def install(extras: set) -> None:
    """Install the project, editable, with its extras; the stamp is written last, when all went well."""
    STAMP.unlink(missing_ok=True)
    say(f"Installing what Sparkgap needs{' with its tests' if extras else ''}. This may take a few minutes.")
    target = "." + (f"[{','.join(sorted(extras))}]" if extras else "")
    failure = run_quietly([PYTHON, "-m", "pip", "install", "--quiet", "--no-input", "--no-compile",
                           "--disable-pip-version-check", "--editable", target], "installing")
    if failure:
        hint = next(advice for pieces, advice in PIP_HINTS if any(piece in failure for piece in pieces))
        raise Trouble(f"pip could not install what Sparkgap needs:\n{failure}\n{hint}, and {AGAIN}.")
    STAMP.write_text(json.dumps(dict(wanted(extras), python=venv_version())) + "\n", encoding="utf-8")


def set_up(extras: set) -> None:
    """Bring the environment to what pyproject.toml asks for; at once done when it is there already."""
    try:
        if state(extras) == "ready":
            return
        begun = time.monotonic()
        BUILT.mkdir(exist_ok=True)
        with only_one():
            todo = state(extras)  # again: the run that was waited for may have done it
            if todo == "make":
                make_venv()
            if todo != "ready":
                install(extras | set(read_stamp().get("extras", ())))
    except OSError as error:
        raise Trouble(f"Sparkgap cannot set itself up: {error.strerror} ({error.filename or BUILT}).\n"
                      f"Put the checkout where you may write, and {AGAIN}.") from None
    say(f"The environment is ready ({time.monotonic() - begun:.0f} s).")


def site(options: argparse.Namespace) -> int:
    """Check, build and serve; the first one that fails ends it with its own exit code."""
    set_up(set())
    sparkgap = [PYTHON, "-m", "sparkgap.cli"]
    for verb, doing, failed in (
        ("check", "Checking the knowledge.", "The knowledge has the problems named above. No site built."),
        ("build", "Building the site.", "The site could not be built, for the reason named above."),
    ):
        say(doing)
        code = run([*sparkgap, verb])
        if code:
            print(failed, file=sys.stderr, flush=True)
            return code
    serve = [*sparkgap, "serve", "--no-build"] + ([] if options.port is None else ["--port", options.port])
    return 0 if options.no_serve else run(serve)


def find_browser() -> str:
    """The path of a Chromium that starts, or an empty string; a wrong SPARKGAP_BROWSER is an error."""
    named = os.environ.get("SPARKGAP_BROWSER", "")
    for name in (named,) if named else BROWSERS:
        path = shutil.which(name)
        if path and starts(path, "--version"):  # some systems have a script there that only gives advice
            return path
    if named:
        raise Trouble(f"SPARKGAP_BROWSER is {named}, which is not a program that starts.\n"
                      f"Set it to the path of a Chromium, or unset it, and {AGAIN}.")
    return ""


def test(options: argparse.Namespace) -> int:
    """Run pytest and give back its exit code; without a Chromium the last line says what was left out."""
    browser, marks = find_browser(), options.marks
    looked = f"no Chromium was found (tried {', '.join(BROWSERS)})"
    if not browser and os.environ.get("SPARKGAP_REQUIRE_BROWSER") == "1":
        raise Trouble(f"The browser tests are required (SPARKGAP_REQUIRE_BROWSER=1), but {looked}.\n"
                      f"Install Chromium, or set SPARKGAP_BROWSER to its path, and {AGAIN}.")
    set_up({"test"})
    if not browser:
        marks = f"({marks}) and not browser" if marks else "not browser"
    os.environ["SPARKGAP_BROWSER"] = browser  # the tests use the one that was found here
    # Starting workers takes seconds: not worth it for the few tests that are named.
    named = any((ROOT / argument.split("::")[0]).exists() for argument in options.rest)
    workers = [] if named else ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile"]
    code = run([PYTHON, "-m", "pytest", *workers, *(["-m", marks] if marks else []), *options.rest])
    if not browser:
        say(f"The browser tests were left out: {looked}. Install Chromium or set SPARKGAP_BROWSER.")
    return code


def run_sparkgap(options: argparse.Namespace) -> int:
    """Run the command line in the environment without activating it."""
    set_up(set())
    return run([PYTHON, "-m", "sparkgap.cli", *options.rest])


def port(text: str) -> int:
    """A TCP port; 0 lets the system choose one."""
    if not (text.isascii() and text.isdigit() and int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a port: give a whole number from 0 to 65535")
    return int(text)


def parse(argv: list) -> argparse.Namespace:
    """The command and its options; what belongs to pytest or to sparkgap is in `rest`, in its order."""
    parser = argparse.ArgumentParser(prog="go.py", description="Set Sparkgap up here and run it.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="{site,test,run}")
    one = commands.add_parser("site", help="check the knowledge, build the site and serve it on this machine",
                              allow_abbrev=False)
    one.add_argument("--no-serve", action="store_true", help="build only")
    one.add_argument("--port", type=port, help="port to serve on; when it is busy, the next free one")
    one.set_defaults(does=site)
    two = commands.add_parser("test", help="run all tests", allow_abbrev=False,
                              usage="go.py test [-h] [-m MARKS] [arguments of pytest]")
    two.add_argument("-m", dest="marks", metavar="MARKS", default="", help="pytest's marker expression")
    two.set_defaults(does=test)
    commands.add_parser("run", help="run the sparkgap command line in the environment").set_defaults(
        does=run_sparkgap)
    if argv[:1] == ["run"]:
        options, rest = parser.parse_args(["run"]), argv[1:]
    else:
        options, rest = parser.parse_known_args(argv)
    if rest and options.command == "site":
        parser.error(f"unknown argument: {' '.join(rest)}")
    options.rest = rest
    return options


def main(argv: list) -> int:
    """Run one command; whatever goes wrong is said in words."""
    def terminate(*_: object) -> None:
        raise Terminated

    try:
        require_python(argv)
        options = parse(argv)
        signal.signal(signal.SIGTERM, terminate)
        return options.does(options)
    except Trouble as trouble:
        print(trouble, file=sys.stderr, flush=True)
        return 1
    except KeyboardInterrupt as interrupt:
        print("\nStopped.", file=sys.stderr, flush=True)
        return 143 if isinstance(interrupt, Terminated) else 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
