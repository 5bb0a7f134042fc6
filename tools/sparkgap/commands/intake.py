"""sparkgap intake: the owner's words to danger, refusals, symptoms and facts."""

from __future__ import annotations

import argparse
from typing import Any

from ..intake import build_index, intake
from .common import print_json, sound_knowledge

SHOWN = 6  # so many symptoms are printed; --json has all


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("complaint", metavar="COMPLAINT", help="the owner's words, in quotes")
    parser.add_argument("--json", action="store_true", help="the result as schema/intake.schema.json describes it")


def run(options: argparse.Namespace) -> int:
    """Print danger first, then what is refused, then symptoms, then the facts in the words."""
    result = intake(options.complaint, build_index(sound_knowledge(options.root)))
    if options.json:
        print_json(result)
        return 0
    for one in result["emergencies"]:
        _steps(f"STOP: {one['title']} (from: {one['because']})", one["now"])
        print(f"  {one['call']}")
        _listed("  Before anyone works on it:", one["before"])
    for one in result["refusals"]:
        _steps(f"NOT DONE: {one['title']} (from: {one['because']})\n  {one['why']}\n  The right way:", one["instead"])
        print()
    _symptoms(result)
    plates = {one["text"]: one["title"] for one in result["plate"]}
    for fact in result["facts"]:
        offered = f"on the data plate: {plates[fact['text']]}" if fact["text"] in plates else fact["quantity"]
        print(f"        said: {fact['text']} ({offered})")
    return 0


def _steps(head: str, steps: list[str]) -> None:
    print(head)
    for number, step in enumerate(steps, 1):
        print(f"  {number}. {step}")


def _listed(head: str, lines: list[str]) -> None:
    print(head)
    for line in lines:
        print(f"  - {line}")
    print()


def _symptoms(result: dict[str, Any]) -> None:
    for one in result["symptoms"][:SHOWN]:
        print(f"{one['score']:6.2f}  {one['id']}  {one['title']} (because of: {', '.join(one['because'])})")
    if not result["symptoms"]:
        print("Nothing in the knowledge fits these words. Say what the unit does, or go by its system:")
        for one in result["systems"]:
            print(f"        {one['title']}: {_held(one['symptoms'])}")


def _held(number: int) -> str:
    return "nothing here yet" if not number else "1 symptom" if number == 1 else f"{number} symptoms"
