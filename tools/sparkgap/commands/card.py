"""sparkgap card: one procedure as a job card."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..diagnosis.calculators import plate_calculators
from ..diagnosis.compile import compile_symptom
from ..diagnosis.guide import guide
from ..jobs.card import Findings, render_card
from ..knowledge import Knowledge
from .common import Refused, known, sound_knowledge
from .guide import evidence_arguments, read_evidence

CAUSES = 4  # so many causes are printed on a card


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("procedure", metavar="PROCEDURE", help="a procedure's id")
    parser.add_argument("--out", type=Path, metavar="FILE.html", help="where to write; standard output without it")
    parser.add_argument("--symptom", metavar="ID", help="print what the guide makes of the findings below")
    parser.add_argument("--complaint", default="", metavar="TEXT", help="the owner's words")
    evidence_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Write the card."""
    knowledge = sound_knowledge(options.root)
    known("procedure", options.procedure, knowledge.procedures)
    text = render_card(knowledge, options.procedure, _findings(knowledge, options))
    if options.out is None:
        print(text)
        return 0
    if options.out.suffix != ".html":
        raise Refused(f"{options.out}: a card is written as .html", "print it from a browser, or name FILE.html")
    try:
        options.out.write_text(text, encoding="utf-8")
    except OSError as error:
        raise Refused(f"{options.out}: {error.strerror}", "name a place that can be written") from None
    print(f"wrote {options.out}")
    return 0


def _findings(knowledge: Knowledge, options: argparse.Namespace) -> Findings:
    reader = read_evidence(knowledge, options)
    unit = knowledge.units[options.unit].title if options.unit else ""
    findings = Findings(
        complaint=options.complaint, unit=unit, plate=reader.plate, results=reader.evidence["results"],
        replaced=[one["part"] for one in reader.evidence["replaced"]],
        judged={gid: (one.verdict.replace("too-close", "too close to call"), one.v_within)
                for gid, one in reader.judged.items()})
    if options.symptom:
        known("symptom", options.symptom, knowledge.symptoms)
        model = compile_symptom(knowledge, options.symptom)
        belief = guide(model, reader.plate, reader.evidence, plate_calculators(knowledge))["belief"]
        findings.symptom = model["title"]
        findings.belief = sorted(belief.items(), key=lambda item: (-item[1], item[0]))[:CAUSES]
    return findings
