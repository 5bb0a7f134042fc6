"""What the commands that write a paper share: its file, its size, and the job file it is of."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path

from ..jobs.file import Job, JobRefused, read_job
from ..jobs.paper import PAPERS
from ..jobs.pdf import PdfRefused, write_pdf
from ..jobs.replay import Replay, replay
from ..jobs.words import cleaned
from ..knowledge import Knowledge
from .common import Refused

SITE = "SPARKGAP_SITE"  # the environment variable with the address of the shop's site


def paper_arguments(parser: argparse.ArgumentParser, kinds: str) -> None:
    """The arguments that say where a paper goes."""
    parser.add_argument("--out", type=Path, metavar="FILE", help=f"where to write, by its ending: {kinds}; "
                        "standard output without it")
    parser.add_argument("--paper", choices=sorted(PAPERS), default="letter", help="the size of the sheet")


def site_argument(parser: argparse.ArgumentParser) -> None:
    """The argument with the address of the shop's site."""
    parser.add_argument("--site", metavar="URL", default=os.environ.get(SITE, ""),
                        help=f"the shop's site, for the square code; without it {SITE}, or the procedure's name")


def told_by(knowledge: Knowledge, path: Path) -> tuple[Job, Replay]:
    """A job file and what it says to the engines; what this knowledge does not have goes to standard error."""
    try:
        job = cleaned(read_job(path))
    except JobRefused as refused:
        raise Refused(*refused.lines) from None
    told = replay(knowledge, job)
    for line in told.unknown:
        print(f"sparkgap: {path}: {line}", file=sys.stderr)
    return job, told


def deliver(out: Path | None, html: Callable[[], str], text: Callable[[], str] | None = None) -> int:
    """Write a paper as its file's ending says, or print it: as plain text where it has one, else as HTML."""
    if out is None:
        print((text or html)())
        return 0
    kind = out.suffix.lower()
    kinds = [".pdf", ".html", *([".txt"] if text else [])]
    if kind not in kinds:
        raise Refused(f"{out}: this paper is written as {', '.join(kinds[:-1])} or {kinds[-1]}",
                      f"name FILE{kinds[0]} or FILE{kinds[1]}")
    try:
        if kind == ".pdf":
            write_pdf(html(), out)
        else:
            out.write_text((text() + "\n") if kind == ".txt" and text else html(), encoding="utf-8")
    except PdfRefused as refused:
        raise Refused(*refused.lines) from None
    except OSError as error:
        raise Refused(f"{out}: {error.strerror}", "name a place that can be written") from None
    print(f"wrote {out}")
    return 0
