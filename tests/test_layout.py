"""The shape of the repository: what may lie where, and which room may know of which."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "tools" / "sparkgap"

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "kb", "procedures", "schema", "tools", "tests", "conf"}
GENERATED = re.compile(
    r"(^|/)(__pycache__|_build|\.doctrees|\.sparkgap|\.pytest_cache|\.hypothesis|node_modules|[^/]*\.egg-info)/"
    r"|\.(pyc|pdf|map|orig|rej)$|\.min\.(js|css)$"
    r"|(^|/)(objects\.inv|searchindex\.js|sparkgap-data\.js|intake-data\.js|calculators\.js)$")
# Put together from pieces, so that this file does not name what it forbids.
HOSTS = [".".join(parts) for parts in (
    ("pypi", "org"), ("pythonhosted", "org"), ("npmjs", "org"), ("npmjs", "com"), ("unpkg", "com"),
    ("crates", "io"), ("anaconda", "org"), ("rubygems", "org"), ("proxy", "golang", "org"))]
MACHINE_PATH = re.compile(r"(?<![\w.~$}-])/(?:work|root|home|Users|mnt|tmp)/\w|\b[A-Z]:\\+Users\b")
LINES = 330

# The rooms of the package, lowest first. Rooms on one floor may use each other, one way.
FLOORS = (
    {"problems", "names", "kinds", "dimensions", "units", "quantities"},
    {"formulas"},
    {"knowledge"},
    {"verdict", "diagnosis"},
    {"intake"},
    {"jobs"},
    {"site"},
    {"authoring"},
    {"commands"},
    {"cli", "__main__"},
)
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}


def tracked() -> list[str]:
    """The paths that git tracks and that are there."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    return [path for path in listed.stdout.split("\0") if path and (ROOT / path).is_file()]


def modules() -> dict[str, Path]:
    """Every module of the package by its dotted name below sparkgap; the package itself is ""."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(source: str, name: str, is_package: bool) -> set[str]:
    """The rooms that a module of the package imports, wherever in its text, relatively or not."""
    here = ["sparkgap", *(name.split(".") if name else [])]
    targets: list[list[str]] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            targets += [alias.name.split(".") for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            up = node.level - is_package
            base = here[:len(here) - up] if node.level else []
            base = base + (node.module.split(".") if node.module else [])
            # "from sparkgap import x": x is a room, or a name of the package itself, which is no room
            targets += [[*base, alias.name] for alias in node.names]
    rooms = {target[1] for target in targets if target[0] == "sparkgap" and len(target) > 1}
    return {room for room in rooms if room in FLOOR or (PACKAGE / room).is_dir()
            or (PACKAGE / f"{room}.py").is_file()}


def edges() -> set[tuple[str, str]]:
    """(importing room, imported room) for every import across rooms that have their floor."""
    found = set()
    for name, path in modules().items():
        room = name.split(".")[0]
        rooms = imported(path.read_text(encoding="utf-8"), name, path.name == "__init__.py")
        found |= {(room, other) for other in rooms if other != room and {room, other} <= {*FLOOR, ""}}
    return found


def upward(pairs: set[tuple[str, str]]) -> list[tuple[str, str]]:
    """The imports that go to a higher floor, or both ways on one floor; the package itself is below all."""
    floor = {**FLOOR, "": -1}
    return sorted((room, other) for room, other in pairs
                  if floor[other] > floor[room] or (floor[other] == floor[room] and (other, room) in pairs))


# --- files --------------------------------------------------------------------------------------------------


def test_only_the_agreed_names_stand_at_the_top() -> None:
    assert {path.split("/")[0] for path in tracked() if not path.startswith(".")} <= TOP


def test_nothing_generated_is_tracked() -> None:
    assert [path for path in tracked() if GENERATED.search(path)] == []
    ignored = subprocess.run(["git", "ls-files", "-ci", "--exclude-standard"], cwd=ROOT, capture_output=True,
                             text=True, check=True)
    assert ignored.stdout == ""


def offending(text: str) -> list[str]:
    """The registries' hosts and the paths of one machine that a text names."""
    return [host for host in HOSTS if host in text.lower()] + MACHINE_PATH.findall(text)


def test_no_file_names_a_registry_or_a_path_of_one_machine() -> None:
    found = {}
    for path in tracked():
        words = offending((ROOT / path).read_bytes().decode("utf-8", errors="ignore"))
        if words:
            found[path] = words
    assert found == {}


@pytest.mark.parametrize("text", [
    "see https://" + "pypi" + ".org/x", "PyPI".upper() + ".ORG", "open('/" + "home/ann/x')", "/" + "work/a",
    "`/" + "root/x`", "C:" + "\\Users\\ann", "C:" + "\\\\Users\\\\ann", "/" + "tmp/x"])
def test_what_is_forbidden_is_found(text: str) -> None:
    assert len(offending(text)) == 1


@pytest.mark.parametrize("text", [
    "#!/usr/bin/env bash", "../" + "work/x", "https://example.org/home/x", "kb/root/a", "and/or", "${x}/home/b"])
def test_what_is_allowed_is_not_found(text: str) -> None:
    assert offending(text) == []


@pytest.mark.parametrize(("path", "generated"), [
    ("conf/static/js/formulas.js", False), ("conf/templates/page.html", False), ("tools/go.py", False),
    ("_build/index.html", True), ("tools/sparkgap/__pycache__/x.pyc", True), ("a/searchindex.js", True),
    ("conf/static/js/calculators.js", True), ("sparkgap.egg-info/PKG-INFO", True), ("card.pdf", True)])
def test_what_counts_as_generated(path: str, generated: bool) -> None:
    assert bool(GENERATED.search(path)) is generated


def test_modules_stay_short() -> None:
    lengths = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in modules().items()}
    assert {name: lines for name, lines in lengths.items() if lines >= LINES} == {}


# --- rooms --------------------------------------------------------------------------------------------------


def test_every_room_has_its_floor() -> None:
    assert {name.split(".")[0] for name in modules()} - {""} <= set(FLOOR)


def test_imports_run_one_way() -> None:
    assert upward(edges()) == []


def test_the_rooms_do_import_each_other() -> None:
    assert ("knowledge", "problems") in edges()  # or the test above would look at nothing


@pytest.mark.parametrize(("source", "name", "is_package", "rooms"), [
    ("import sparkgap.cli", "jobs.card", False, {"cli"}),
    ("from sparkgap import site, __version__", "jobs.card", False, {"site"}),
    ("from sparkgap.knowledge.model import Check", "jobs.card", False, {"knowledge"}),
    ("from ..site import domain", "jobs.card", False, {"site"}),
    ("from .. import verdict", "jobs.card", False, {"verdict"}),
    ("from . import model", "jobs.card", False, {"jobs"}),
    ("from .model import Job", "jobs", True, {"jobs"}),
    ("from ..problems import Problem", "jobs", True, {"problems"}),
    ("from .problems import Problem", "cli", False, {"problems"}),
    ("def f():\n    from sparkgap.cli import main", "problems", False, {"cli"}),
    ("import json, sphinx.application", "site.domain", False, set()),
])
def test_how_imports_are_read(source: str, name: str, is_package: bool, rooms: set[str]) -> None:
    assert imported(source, name, is_package) == rooms


@pytest.mark.parametrize(("pairs", "found"), [
    ({("cli", "site"), ("site", "problems"), ("diagnosis", "verdict")}, []),
    ({("problems", "knowledge")}, [("problems", "knowledge")]),
    ({("diagnosis", "verdict"), ("verdict", "diagnosis")},
     [("diagnosis", "verdict"), ("verdict", "diagnosis")]),
    ({("", "problems")}, [("", "problems")]),
])
def test_which_imports_go_up(pairs: set[tuple[str, str]], found: list[tuple[str, str]]) -> None:
    assert upward(pairs) == found
