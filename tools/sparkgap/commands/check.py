"""sparkgap check: every problem of the knowledge at once."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..knowledge import load
from .common import Refused, find_root, print_json


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="only problems in these files or folders")
    parser.add_argument("--json", action="store_true", help="as schema/problems.schema.json describes it")


def run(options: argparse.Namespace) -> int:
    """Print the problems; 1 if there are any."""
    root = options.root or find_root()
    wanted = [_below(path, root) for path in options.paths]
    knowledge = load(root)
    for path, shown in zip(options.paths, wanted, strict=True):
        # A path that holds nothing to check must not pass as sound.
        if not any(_covers(shown, name) for name in (*knowledge.files, *(p.path for p in knowledge.problems))):
            raise Refused(f"{path} holds no knowledge", "name files or folders in kb/ or procedures/")
    problems = [p for p in knowledge.problems if not wanted or any(_covers(one, p.path) for one in wanted)]
    if options.json:
        print_json({"digest": knowledge.digest, "problems": [problem.as_json() for problem in problems]})
        return int(bool(problems))
    for problem in problems:
        print(problem)
    files = len([name for name in knowledge.files if not wanted or any(_covers(one, name) for one in wanted)])
    print(f"{files} file{_s(files)}, {len(problems) or 'no'} problem{_s(len(problems))}")
    return int(bool(problems))


def _s(number: int) -> str:
    return "" if number == 1 else "s"


def _below(path: Path, root: Path) -> str:
    """A path as problems show it. A path that is not there must not pass as sound."""
    full = path.resolve()
    if not full.exists():
        raise Refused(f"{path}: there is no such file or folder", "check the spelling")
    if not full.is_relative_to(root.resolve()):
        raise Refused(f"{path} is outside the knowledge in {root}", "name the checkout with --root DIR")
    shown = full.relative_to(root.resolve()).as_posix()
    return "" if shown == "." else shown


def _covers(wanted: str, path: str) -> bool:
    return not wanted or path == wanted or path.startswith(f"{wanted}/")
