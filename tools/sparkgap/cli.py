"""The command sparkgap."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from . import __version__
from .commands import build, calc, card, check, guide, intake, learn, owner_sheet, report
from .commands.common import Refused

_COMMANDS = {
    "check": (check, "every problem of the knowledge at once"),
    "build": (build.Build, "build the site"),
    "serve": (build.Serve, "build the site and serve it on this machine"),
    "intake": (intake, "the owner's words to danger, symptoms and facts"),
    "guide": (guide, "what is likely and what to do next"),
    "calc": (calc, "run a calculator"),
    "card": (card, "one procedure as a job card"),
    "owner-sheet": (owner_sheet, "what the owner may check alone"),
    "report": (report, "what a job file records, or a red tag"),
    "learn": (learn, "fault weights from closed jobs, as a change of kb/"),
}


def parser() -> argparse.ArgumentParser:
    """The command line."""
    top = argparse.ArgumentParser(prog="sparkgap", description="A repair knowledge base with executable checks.")
    top.add_argument("--version", action="version", version=f"sparkgap {__version__}")
    top.add_argument("--root", type=Path, help="the checkout, when it is not here or above")
    subs = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, (module, words) in _COMMANDS.items():
        module.arguments(subs.add_parser(name, help=words, description=words.capitalize() + "."))
    return top


def main(arguments: list[str] | None = None) -> int:
    """Run one command; what stops it is said in words, never as a traceback. Returns the exit code."""
    given = sys.argv[1:] if arguments is None else arguments
    options = _parse([_printable(one) for one in given])
    try:
        return _COMMANDS[options.command][0].run(options)
    except Refused as refused:
        for line in refused.lines:
            print(f"sparkgap: {line}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()  # the reader of our output has gone; nothing more to say
        return 0
    except KeyboardInterrupt:
        print("sparkgap: stopped", file=sys.stderr)
        return 130


def _parse(arguments: list[str]) -> argparse.Namespace:
    """The options; a list of names may go on after an option, where argparse alone stops."""
    top = parser()
    options, more = top.parse_known_args(arguments)
    rest = {"calc": "inputs", "check": "paths", "learn": "jobs"}.get(options.command)
    if more and (rest is None or any(one.startswith("-") for one in more)):
        top.error(f"unrecognized arguments: {' '.join(more)}")
    if more:
        kind = str if rest == "inputs" else Path
        setattr(options, rest, [*getattr(options, rest), *map(kind, more)])
    return options


def _printable(argument: str) -> str:
    """An argument whose bytes are no UTF-8 could not be printed again."""
    return argument.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


if __name__ == "__main__":
    raise SystemExit(main())
