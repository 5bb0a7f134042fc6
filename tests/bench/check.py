"""``sparkgap check`` beside its floor: the same files through libyaml's C loader and compiled schemas.

``python -m tests.bench.check [--scale 1 10] [--repeats 5] [--profile]``. Each run is a process of its own, in turns,
and measures its work after the imports; the whole commands stand beside. Ends with 0; budgets are said in words.
"""

from __future__ import annotations

import argparse
import cProfile
import os
import pstats
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from .measure import CHECKOUT, Times, ending, ratio, run, scales, verdict
from .scale import multiply

BUDGET, GROWTH = 2.0, 1.2
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(CHECKOUT / "tools"), str(CHECKOUT)])}
OURS = """
import sys, time
from pathlib import Path
from sparkgap.knowledge import load, read, rules
start = time.process_time()
knowledge = load(Path(sys.argv[1]))
print(time.process_time() - start)
"""
FLOOR = """
import sys, time
from pathlib import Path
from tests.bench import floor
start = time.process_time()
floor.read(Path(sys.argv[1]), floor.compiled())
print(time.process_time() - start)
"""


def worked(program: str, root: Path) -> float:
    """Processor seconds that a program says its work took, without its imports."""
    done = subprocess.run([sys.executable, "-c", program, str(root)], env=ENVIRONMENT, cwd=CHECKOUT, text=True,
                          capture_output=True, check=True)
    return float(done.stdout)


def compare(root: Path, repeats: int) -> tuple[float, float, float]:
    """Medians in turns: our work and the floor's in seconds, and the ratio of the whole commands."""
    work: tuple[list[float], list[float]] = ([], [])
    commands = (Times(), Times())
    for _ in range(repeats):
        for index, program in enumerate((OURS, FLOOR)):
            work[index].append(worked(program, root))
            whole = ["-m", "sparkgap.cli", "--root", str(root), "check"] if index == 0 else ["-c", program, str(root)]
            run(whole, commands[index], ENVIRONMENT)
    return statistics.median(work[0]), statistics.median(work[1]), ratio(*commands)


def profile(root: Path, shown: int = 25) -> None:
    """Where the check spends its time: the functions that take most by themselves and with what they call."""
    from sparkgap.knowledge import load

    for order in ("cumulative", "tottime"):
        watch = cProfile.Profile()
        watch.runcall(load, root)
        pstats.Stats(watch).strip_dirs().sort_stats(order).print_stats(shown)


def main(argv: list[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.check", description=__doc__.split("\n")[0])
    scales(parser, 5, "runs of each")
    parser.add_argument("--profile", action="store_true", help="print a profile of the check and end")
    options = parser.parse_args(argv)
    if options.profile:
        profile(CHECKOUT)
        return 0
    rows = []
    with tempfile.TemporaryDirectory(prefix="sparkgap-bench-") as folder:
        for scale in sorted(options.scale):
            root = Path(folder) / str(scale)
            files = len(multiply(CHECKOUT, root, scale).files)
            rows.append((files, *compare(root, options.repeats)))
    print(f"{'files':>6}{'check':>10}{'floor':>10}{'ratio':>8}{'commands':>10}")
    for files, ours, floor, commands in rows:
        print(f"{files:>6}{ours:>9.3f}s{floor:>9.3f}s{ours / floor:>8.2f}{commands:>10.2f}")
    for files, ours, floor, commands in rows:
        print(verdict(ours / floor, BUDGET, f"check of {files} files over its floor"))
        print(verdict(commands, BUDGET, "the same as whole commands, imports included"))
    for (few, small, *_), (many, large, *_) in zip(rows, rows[1:], strict=False):
        print(verdict(large / many / (small / few), GROWTH, f"growth per file from {few} to {many} files"))
    return 0


if __name__ == "__main__":
    ending(main)
