"""Breaking a copy of the base knowledge, and what must still be true of the rest of it."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import yaml
from sparkgap.knowledge import Knowledge, load

from tests.loaded import BASE, base

SECONDS = 5.0  # for any file whatever; a usual one takes a tenth of that on a busy machine
KINDS = ("plate", "constants", "tables", "sources", "gates", "access", "tools", "parts", "emergencies", "units",
         "faults", "symptoms", "calculators", "procedures", "checks", "remedies")
FILES = yaml.safe_load((Path(__file__).parent / "files.yaml").read_text(encoding="utf-8"))
NAMED = {case["name"]: case for case in FILES}


def copy(folder: Path) -> Path:
    """A copy of the base."""
    return Path(shutil.copytree(BASE, folder))


def break_file(root: Path, case: dict) -> None:
    """Break one file as an entry of files.yaml says."""
    path = root / case["file"]
    text = path.read_text(encoding="utf-8")
    if "text" not in case:
        assert text.count(case["old"]) == 1
    path.write_text(case["text"] if "text" in case else text.replace(case["old"], case["new"]), encoding="utf-8")


def state(root: Path) -> dict[str, tuple]:
    """What lies below a folder: kind, size and time of change of every path."""
    found = {}
    for path in sorted(root.rglob("*")):
        stat = path.lstat()
        found[path.relative_to(root).as_posix()] = (stat.st_mode, stat.st_size, stat.st_mtime_ns)
    return found


def loaded(root: Path) -> Knowledge:
    """The knowledge below root: read without an exception, in bounded time, with nothing written."""
    before, start = state(root), time.perf_counter()
    knowledge = load(root)
    assert time.perf_counter() - start < SECONDS
    assert state(root) == before
    return knowledge


def lost(knowledge: Knowledge, *broken: str) -> list[tuple[str, str]]:
    """What the base declares in other files than the broken ones and the knowledge has not."""
    return [(kind, name) for kind in KINDS for name, entity in getattr(base(), kind).items()
            if entity.place.path not in broken and name not in getattr(knowledge, kind)]


def said(knowledge: Knowledge) -> list[str]:
    """Its problems as printed, each on a line of its own that exists in its file."""
    for problem in knowledge.problems:
        path = Path(knowledge.root) / problem.path
        text = path.read_text(encoding="utf-8", errors="replace") if path.is_file() else ""
        assert 1 <= problem.line <= text.count("\n") + 1 and problem.column >= 1
        assert problem.fix and str(problem).isprintable()
    return [str(problem) for problem in knowledge.problems]
