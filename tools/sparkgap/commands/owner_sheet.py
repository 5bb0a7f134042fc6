"""sparkgap owner-sheet: what the owner may check alone."""

from __future__ import annotations

import argparse

from ..jobs.owner_sheet import sheet_data, sheet_html, sheet_text
from ..knowledge.conditions import holds
from .common import Refused, known, sound_knowledge
from .paper import deliver, paper_arguments


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("symptom", metavar="SYMPTOM", help="a symptom's id; sparkgap intake finds it from words")
    parser.add_argument("--unit", default="", metavar="ID", help="a shipped unit: leaves out what it does not have")
    parser.add_argument("--text", action="store_true", help="plain text on standard output, for a message")
    paper_arguments(parser, ".pdf, .html or .txt")


def run(options: argparse.Namespace) -> int:
    """Write the sheet."""
    knowledge = sound_knowledge(options.root)
    symptom = known("symptom", options.symptom, knowledge.symptoms)
    if options.text and options.out:
        raise Refused("--text prints, --out writes", "give one of them; FILE.txt holds the same text")
    if options.unit:
        known("unit", options.unit, knowledge.units)
        if holds(symptom.applies_to, knowledge.units[options.unit].plate) is False:
            raise Refused(f"{symptom.title!r} does not happen on this unit", "name another unit, or leave --unit out")
    sheet = sheet_data(knowledge, options.symptom, options.unit)
    return deliver(options.out, lambda: sheet_html(sheet, options.paper), lambda: sheet_text(sheet))
