"""sparkgap intake: the owner's words to danger, symptoms and facts."""

from __future__ import annotations

import argparse

from ..intake import build_index, intake
from .common import print_json, sound_knowledge

SHOWN = 6  # so many symptoms are printed; --json has all


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("complaint", metavar="COMPLAINT", help="the owner's words, in quotes")
    parser.add_argument("--json", action="store_true", help="the result as schema/intake.schema.json describes it")


def run(options: argparse.Namespace) -> int:
    """Print danger first, then symptoms, then the facts in the words."""
    result = intake(options.complaint, build_index(sound_knowledge(options.root)))
    if options.json:
        print_json(result)
        return 0
    for one in result["emergencies"]:
        print(f"STOP: {one['title']} (from: {one['because']})")
        for number, step in enumerate(one["now"], 1):
            print(f"  {number}. {step}")
        print(f"  {one['call']}\n")
    for one in result["symptoms"][:SHOWN]:
        print(f"{one['score']:6.2f}  {one['id']}  {one['title']}")
    if not result["symptoms"]:
        print("Nothing in the knowledge fits these words. Say what the unit does, or go by its system.")
    for fact in result["facts"]:
        print(f"        said: {fact['text']} ({fact['quantity']})")
    return 0
