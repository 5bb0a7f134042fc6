"""Processor seconds and wall seconds of a command, and ratios of medians that were taken in one run."""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

try:
    import resource
except ImportError:  # Windows: wall time stands in for processor time
    resource = None

CHECKOUT = Path(__file__).resolve().parents[2]


@dataclass
class Times:
    """What repeated runs of one thing took, in seconds."""

    cpu: list[float] = field(default_factory=list)
    wall: list[float] = field(default_factory=list)

    def median(self, what: str = "cpu") -> float:
        """The median of processor (cpu) or wall seconds."""
        return statistics.median(getattr(self, what))


def _spent() -> float:
    if resource is None:
        return time.perf_counter()
    usage = resource.getrusage(resource.RUSAGE_CHILDREN)
    return usage.ru_utime + usage.ru_stime


def run(command: list[str], times: Times, environment: dict[str, str]) -> None:
    """Run a command of Python's and add what it took. Raises RuntimeError with its output when it fails."""
    cpu, wall = _spent(), time.perf_counter()
    done = subprocess.run([sys.executable, *command], env=environment, capture_output=True, text=True, check=False)
    times.cpu.append(_spent() - cpu)
    times.wall.append(time.perf_counter() - wall)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)} failed:\n{(done.stdout + done.stderr)[-2000:]}")


def ratio(ours: Times, other: Times, what: str = "cpu") -> float:
    """Our median over the other one."""
    return ours.median(what) / other.median(what)


def scales(parser: argparse.ArgumentParser, repeats: int, what: str) -> None:
    """The options that both benches have."""
    parser.add_argument("--scale", type=int, nargs="+", default=[1, 10], help="how often the knowledge is copied")
    parser.add_argument("--repeats", type=int, default=repeats, help=f"{what} (default {repeats})")


def ending(main: Callable[[list[str]], int]) -> None:
    """Run a bench as a program; what could not be measured is said in a line."""
    try:
        sys.exit(main(sys.argv[1:]))
    except (ValueError, RuntimeError) as error:
        sys.exit(f"nothing measured: {error}")


def verdict(value: float, budget: float, what: str) -> str:
    """A budget in words."""
    return f"{what}: {value:.2f}, budget {budget:.2f}: {'met' if value <= budget else 'NOT met'}"
