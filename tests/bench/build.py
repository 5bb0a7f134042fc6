"""How long our site takes to build beside plain Sphinx and MyST on the same pages, and how both grow.

``python -m tests.bench.build [--scale 1 10] [--repeats 3] [--bare]``. Serial builds in turns, each in its own process;
the ratios are of processor seconds, medians of one run. Says whether the budgets are met; ends with 0 when it could.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from .measure import CHECKOUT, Times, ending, ratio, run, scales, verdict
from .scale import multiply

CLEAN_NOW, CLEAN, TOUCHED, GROWTH = 1.5, 1.25, 1.2, 1.2
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(CHECKOUT / "tools"), "PYTHONHASHSEED": "0"}


@dataclass
class Site:
    """One source tree and what building it took."""

    source: Path
    conf: Path
    out: Path
    clean: Times = field(default_factory=Times)
    touched: Times = field(default_factory=Times)
    revised: Times = field(default_factory=Times)

    def build(self, times: Times) -> None:
        """One serial build in a process of its own."""
        run(["-m", "sphinx", "-q", "-b", "html", "-j", "1", "-c", str(self.conf), "-d", str(self.out / "doctrees"),
             str(self.source), str(self.out / "html")], times, ENVIRONMENT)

    def build_clean(self) -> None:
        """A build from nothing."""
        shutil.rmtree(self.out, ignore_errors=True)
        self.build(self.clean)

    def build_touched(self, number: int) -> None:
        """A build after one sentence was added to one procedure."""
        self._edit(lambda text: f"{text}\nSentence {number}.\n")
        self.build(self.touched)

    def build_revised(self, number: int) -> None:
        """A build after the front matter of one procedure was changed: its revision, and so what it means."""
        self._edit(lambda text: re.sub(r"(?m)^revision: \d+$", f"revision: {900 + number}", text, count=1))
        self.build(self.revised)

    def _edit(self, change: Callable[[str], str]) -> None:
        file = sorted((self.source / "procedures").rglob("*.md"))[0]
        file.write_text(change(file.read_text(encoding="utf-8")), encoding="utf-8")


@dataclass
class Pair:
    """Ours and plain at one size."""

    scale: int
    pages: int
    ours: Site
    plain: Site


def prepare(scale: int, folder: Path, bare: bool = False) -> Pair:
    """Multiply the knowledge, build it once without a watch, and write its pages as plain Markdown."""
    from sphinx.application import Sphinx

    from .plain import write_plain

    source, plain, first = folder / "ours", folder / "plain", folder / "first"
    multiply(CHECKOUT, source, scale)
    app = Sphinx(source, CHECKOUT / "conf", first / "html", first / "doctrees", "html", status=None, warning=None)
    app.build()
    pages = write_plain(app, plain, front_matter=not bare)
    return Pair(scale, pages, Site(source, CHECKOUT / "conf", folder / "ours-out"),
                Site(plain, plain, folder / "plain-out"))


def measure(pair: Pair, repeats: int) -> None:
    """Both in turns, the first one changing from round to round."""
    for number in range(repeats):
        sites = [pair.ours, pair.plain][::1 if number % 2 == 0 else -1]
        for site in sites:
            site.build_clean()
    for number in range(repeats):
        for site in (pair.ours, pair.plain):
            site.build_touched(number)
            site.build_revised(number)


def lines(pairs: list[Pair]) -> list[str]:
    """The figures and the budgets in words."""
    rows = [f"{'pages':>6}{'ours':>9}{'plain':>9}{'ratio':>8}{'wall':>8}   {'touched':>9}{'plain':>9}{'ratio':>8}"]
    for pair in pairs:
        ours, plain = pair.ours, pair.plain
        rows.append(f"{pair.pages:>6}{ours.clean.median():>8.2f}s{plain.clean.median():>8.2f}s"
                    f"{ratio(ours.clean, plain.clean):>8.2f}{ratio(ours.clean, plain.clean, 'wall'):>8.2f}   "
                    f"{ours.touched.median():>8.2f}s{plain.touched.median():>8.2f}s"
                    f"{ratio(ours.touched, plain.touched):>8.2f}")
    for pair in pairs:
        rows.append(f"one revised procedure of {pair.pages} pages over plain: "
                    f"{ratio(pair.ours.revised, pair.plain.revised):.2f}, without a budget")
        value = ratio(pair.ours.clean, pair.plain.clean)
        rows.append(verdict(value, CLEAN_NOW, f"clean build of {pair.pages} pages over plain"))
        rows.append(verdict(value, CLEAN, f"clean build of {pair.pages} pages over plain, final"))
        rows.append(verdict(ratio(pair.ours.touched, pair.plain.touched), TOUCHED,
                            f"one touched procedure of {pair.pages} pages over plain"))
    return rows + [growth(small, large) for small, large in zip(pairs, pairs[1:], strict=False)]


def growth(small: Pair, large: Pair) -> str:
    """How the time for a page grows with their number; plain Sphinx beside it."""
    ours, plain = ((large_site.clean.median() / large.pages) / (small_site.clean.median() / small.pages)
                   for small_site, large_site in ((small.ours, large.ours), (small.plain, large.plain)))
    return verdict(ours, GROWTH, f"growth per page from {small.pages} to {large.pages} pages (plain {plain:.2f})")


def main(argv: list[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.build", description=__doc__.split("\n")[0])
    scales(parser, 3, "builds of each kind")
    parser.add_argument("--bare", action="store_true", help="plain pages without the procedures' front matter")
    options = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(prefix="sparkgap-bench-") as folder:
        pairs = []
        for scale in sorted(options.scale):
            pairs.append(prepare(scale, Path(folder) / str(scale), options.bare))
            print(f"measuring {pairs[-1].pages} pages", file=sys.stderr, flush=True)
            measure(pairs[-1], options.repeats)
        print("\n".join(lines(pairs)))
    return 0


if __name__ == "__main__":
    ending(main)
