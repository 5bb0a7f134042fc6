"""sparkgap build and sparkgap serve: the site."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..site.build import build, serve
from .common import Refused, find_root


def _build(options: argparse.Namespace) -> Path:
    root = options.root or find_root()
    out = options.out or root / ".sparkgap" / "site"
    status = build(root, out, root / ".sparkgap" / "doctrees", jobs=options.jobs)
    if status:
        raise Refused("the site was not built", "mend what is said above; sparkgap check says more of the knowledge")
    return out


def _built(options: argparse.Namespace) -> Path:
    out = options.out or (options.root or find_root()) / ".sparkgap" / "site"
    if not (out / "index.html").is_file():
        raise Refused(f"there is no site in {out}", "build it: sparkgap build")
    return out


def _arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--out", type=Path, metavar="DIR", help="where to build; without it .sparkgap/site")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="so many processes")


class Build:
    """sparkgap build."""

    @staticmethod
    def arguments(parser: argparse.ArgumentParser) -> None:
        """The arguments of the command."""
        _arguments(parser)

    @staticmethod
    def run(options: argparse.Namespace) -> int:
        """Build and say where."""
        print(f"built {_build(options)}")
        return 0


class Serve:
    """sparkgap serve."""

    @staticmethod
    def arguments(parser: argparse.ArgumentParser) -> None:
        """The arguments of the command."""
        _arguments(parser)
        parser.add_argument("--no-build", action="store_true", help="serve what was built before")
        parser.add_argument("--port", type=int, default=8000, metavar="N", help="the first port to try")

    @staticmethod
    def run(options: argparse.Namespace) -> int:
        """Build, unless told not to, then serve until stopped."""
        out = _built(options) if options.no_build else _build(options)
        return serve(out, options.port)
