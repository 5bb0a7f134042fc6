"""sparkgap report: what a job file records, for the shop, the owner and a warranty desk."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from ..jobs.report_paper import NotLeftOff, red_tag_html, red_tag_text, report_html, report_text
from .common import Refused, sound_knowledge
from .paper import deliver, paper_arguments, told_by


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("job", type=Path, metavar="FILE.job.json", help="a job file")
    parser.add_argument("--red-tag", action="store_true",
                        help="instead the notice to hang on a unit that was left shut off")
    paper_arguments(parser, ".pdf, .html or .txt")


def run(options: argparse.Namespace) -> int:
    """Write the report or the red tag."""
    knowledge = sound_knowledge(options.root)
    job, told = told_by(knowledge, options.job)
    if not options.red_tag:
        return deliver(options.out, lambda: report_html(knowledge, job, told, options.paper),
                       lambda: report_text(knowledge, job, told))
    return deliver(options.out, _tagged(lambda: red_tag_html(knowledge, job, options.paper)),
                   _tagged(lambda: red_tag_text(knowledge, job)))


def _tagged(made: Callable[[], str]) -> Callable[[], str]:
    def tag() -> str:
        try:
            return made()
        except NotLeftOff as refused:
            raise Refused(str(refused), "a red tag belongs to a job whose outcome is left-off") from None

    return tag
