"""sparkgap check: every problem of the knowledge at once."""

from __future__ import annotations

import argparse
import itertools
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from ..knowledge import load
from ..problems import Problem
from .common import Refused, find_root, print_json

SHOWN = 200  # problems of one kind that are printed of a file: twice as many as the reader of YAML lists


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
    for line in _shown(problems):
        print(line)
    files = len([name for name in knowledge.files if not wanted or any(_covers(one, name) for one in wanted)])
    print(f"{files} file{_s(files)}, {len(problems) or 'no'} problem{_s(len(problems))}")
    return int(bool(problems))


def _shown(problems: list[Problem]) -> Iterator[str]:
    """The problems, of each kind in a file the first ones; after a file's problems what more there is of it."""
    for path, of_file in itertools.groupby(problems, key=lambda problem: problem.path):
        count: Counter[str] = Counter()
        for problem in of_file:
            count[problem.code] += 1
            if count[problem.code] <= SHOWN:
                yield str(problem)
        for code, number in count.items():
            if number > SHOWN:
                yield f"{path}: {code} and {number - SHOWN:,} more (mend these first; --json lists all)"


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
