"""sparkgap check: every problem of the knowledge at once; with --discern, how well its checks tell faults apart."""

from __future__ import annotations

import argparse
import itertools
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ..diagnosis.compile import compile_symptom
from ..diagnosis.discern import discern
from ..diagnosis.specialise import specialise
from ..knowledge import Knowledge, load
from ..problems import Problem
from .common import Refused, find_root, print_json

SHOWN = 200  # problems of one kind that are printed of a file: twice as many as the reader of YAML lists


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("paths", nargs="*", type=Path, metavar="PATH", help="only problems in these files or folders")
    parser.add_argument("--json", action="store_true", help="as schema/problems.schema.json describes it")
    parser.add_argument("--discern", action="store_true",
                        help="of sound knowledge: faults that nothing tells apart, idle checks, unsafe starts, courses "
                             "without a proved repair (with --json: schema/discern.schema.json)")


def run(options: argparse.Namespace) -> int:
    """Print the problems; 1 if there are any. With --discern 1 only for those that leave a plan without its end."""
    root = options.root or find_root()
    wanted = [_below(path, root) for path in options.paths]
    knowledge = load(root)
    for path, shown in zip(options.paths, wanted, strict=True):
        # A path that holds nothing to check must not pass as sound.
        if not any(_covers(shown, name) for name in (*knowledge.files, *(p.path for p in knowledge.problems))):
            raise Refused(f"{path} holds no knowledge", "name files or folders in kb/ or procedures/")
    problems = [p for p in knowledge.problems if not wanted or any(_covers(one, p.path) for one in wanted)]
    if options.discern and not knowledge.problems:
        return _discern(knowledge, wanted, options.json)
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


def _discern(knowledge: Knowledge, wanted: list[str], as_json: bool) -> int:
    told: list[dict[str, Any]] = []
    for name, symptom in sorted(knowledge.symptoms.items()):
        if not wanted or any(_covers(one, symptom.place.path) for one in wanted):
            model = compile_symptom(knowledge, name)
            findings = discern(specialise(model, {}), model["gates"])
            told.append({"symptom": name, "path": symptom.place.path, "findings": findings})
    findings = [one for each in told for one in each["findings"]]
    if as_json:
        print_json({"digest": knowledge.digest, "symptoms": told})
    else:
        for each in told:
            for one in each["findings"]:
                print(f"{each['path']}: {one['code']} {one['message']} ({one['fix']})")
        print(f"{len(told)} symptom{_s(len(told))}, {len(findings) or 'no'} finding{_s(len(findings))}")
    return int(any(one["hard"] for one in findings))


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
