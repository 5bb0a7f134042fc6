"""sparkgap card: one procedure as a job card."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..jobs.card import render_card
from ..jobs.code import AddressRefused
from ..jobs.findings import Findings, causes, job_findings, verdict_words
from ..knowledge import Knowledge
from .common import Refused, known, sound_knowledge
from .guide import evidence_arguments, read_evidence
from .paper import deliver, paper_arguments, site_argument, told_by

_INSTEAD = ("symptom", "complaint", "unit", "plate", "found", "reading", "aside", "open", "replaced", "failed", "who")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("procedure", metavar="PROCEDURE", help="a procedure's id")
    paper_arguments(parser, ".pdf or .html")
    site_argument(parser)
    parser.add_argument("--job", type=Path, metavar="FILE", help="fill it in from a job file")
    parser.add_argument("--symptom", metavar="ID", help="print what the guide makes of the findings below")
    parser.add_argument("--complaint", default="", metavar="TEXT", help="the owner's words")
    evidence_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Write the card."""
    knowledge = sound_knowledge(options.root)
    known("procedure", options.procedure, knowledge.procedures)
    findings = _findings(knowledge, options)

    def html() -> str:
        try:
            return render_card(knowledge, options.procedure, findings, options.site, options.paper)
        except AddressRefused as refused:
            raise Refused(str(refused), "mend --site or SPARKGAP_SITE, or leave them out") from None

    return deliver(options.out, html)


def _findings(knowledge: Knowledge, options: argparse.Namespace) -> Findings:
    if options.job is None:
        return _told(knowledge, options)
    both = [f"--{name}" for name in _INSTEAD if getattr(options, name)]
    if both:
        raise Refused(f"--job says what {' '.join(both)} would say", "give one or the other")
    job, told = told_by(knowledge, options.job)
    return job_findings(knowledge, job, told)


def _told(knowledge: Knowledge, options: argparse.Namespace) -> Findings:
    """The findings that the command line itself tells."""
    reader = read_evidence(knowledge, options)
    findings = Findings(
        complaint=options.complaint, unit=knowledge.units[options.unit].title if options.unit else "",
        plate=reader.plate, results=reader.evidence["results"],
        replaced=[one["part"] for one in reader.evidence["replaced"]],
        judged={gid: (verdict_words(one.verdict), one.v_within) for gid, one in reader.judged.items()})
    if options.symptom:
        known("symptom", options.symptom, knowledge.symptoms)
        told = causes(knowledge, options.symptom, reader.plate, reader.evidence)
        findings.symptom, findings.belief = told["symptom"], told["belief"]
    return findings
