"""Change every number of the knowledge by 2 %, one at a time, and see whether a check or a test notices.

``python -m tests.mutation [--seed N] [--minutes M] [--report FILE] [--only PATH]``. Published numbers come first, in an
order that the seed picks; what the time does not suffice for is counted as not tried. The exit code is 1 when fewer
than 95 % of the changes to published numbers are caught. See accepted.yaml for survivors that are accepted.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import tempfile
from pathlib import Path

import pytest

from .harness import Copy, Harness, Mutant
from .numbers import Number, numbers_below, unplaced
from .report import Report, read_accepted

CHECKOUT = Path(__file__).resolve().parents[2]
FACTORS = (1.02, 0.98)


def parse(argv: list[str]) -> argparse.Namespace:
    """The arguments."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__.split("\n")[0])
    parser.add_argument("--seed", type=int, default=1, help="order of the changes (default 1)")
    parser.add_argument("--minutes", type=float, default=10, help="when to stop (default 10)")
    parser.add_argument("--report", type=Path, metavar="FILE", help="write everything there as JSON")
    parser.add_argument("--only", action="append", default=[], metavar="PATH",
                        help="only numbers of files whose path begins so, e.g. kb/tables; may be repeated")
    parser.add_argument("--jobs", type=int, default=min(4, os.cpu_count() or 1), help="processes at a time")
    parser.add_argument("--thorough", action="store_true",
                        help="also ask the many tests of the program that read the shipped knowledge; takes hours")
    return parser.parse_args(argv)


def planned(numbers: list[Number], seed: int) -> list[Mutant]:
    """Both changes of each number, published ones first, otherwise in an order of the seed."""
    mutants = [Mutant(number, factor) for number in numbers for factor in FACTORS]
    random.Random(seed).shuffle(mutants)
    return sorted(mutants, key=lambda mutant: not mutant.number.published)


def run(options: argparse.Namespace, folder: Path) -> Report:
    """Copy the knowledge into the folder and try the changes there."""
    copies = [Copy.of(CHECKOUT, folder / str(n)) for n in range(max(1, options.jobs))]
    root = copies[0].root
    only = tuple(options.only)
    numbers = [one for one in numbers_below(root) if not only or one.path.startswith(only)]
    mutants = planned(numbers, options.seed)
    print(f"{len(numbers)} numbers, {len(mutants)} changes", flush=True)
    harness = Harness(CHECKOUT, copies, mutants, options.minutes * 60,
                      say=lambda text: print(text, file=sys.stderr, flush=True),
                      thorough=options.thorough)
    pytest.main([str(CHECKOUT / "tests"), "--rootdir", str(CHECKOUT), "-qq", "--disable-warnings",
                 "-p", "no:cacheprovider", "-p", "no:xdist",
                 "--ignore", str(Path(__file__).parent)], plugins=[harness])
    places = [f"{path.relative_to(root).as_posix()}: {place}" for pattern in ("kb/**/*.yaml", "procedures/**/*.md")
              for path in sorted(root.glob(pattern))
              for place in unplaced(path.read_text(encoding="utf-8"), path.relative_to(root).as_posix())]
    accepted = {key: why for key, why in read_accepted(Path(__file__).with_name("accepted.yaml")).items()
                if not only or key[0].startswith(only)}
    return Report(mutants, harness.verdicts, accepted, harness.failing, places)


def main(argv: list[str]) -> int:
    """Run, print, and say by the exit code whether enough is caught."""
    if not hasattr(os, "fork"):
        print("The mutation run needs a system that can fork: Linux or macOS.", file=sys.stderr)
        return 2
    options = parse(argv)
    with tempfile.TemporaryDirectory(prefix="sparkgap-mutation-") as folder:
        report = run(options, Path(folder))
    print("\n".join(report.lines()))
    if options.report:
        options.report.write_text(json.dumps(report.as_json(), indent=1) + "\n", encoding="utf-8")
    return 0 if report.sound() else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
