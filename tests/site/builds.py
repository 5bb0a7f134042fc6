"""Build sites in tests, and say what a build read and wrote."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path

from sphinx.application import Sphinx
from sphinx.errors import SphinxError
from sphinx.util.console import nocolor
from sphinx.util.docutils import docutils_namespace

ROOT = Path(__file__).resolve().parents[2]


@dataclass
class Built:
    """One build: where it stands, its exit status, its warnings, the documents it read and the pages it wrote."""

    out: Path
    status: int = 0
    warnings: str = ""
    read: list[str] = field(default_factory=list)
    written: list[str] = field(default_factory=list)


def copy_of_sources(target: Path) -> Path:
    """A copy of what the site is made from, to be changed by a test."""
    for folder in ("kb", "procedures", "conf", "schema"):
        shutil.copytree(ROOT / folder, target / folder)
    return target


def build(root: Path, where: Path, *, jobs: int = 1, strict: bool = True) -> Built:
    """Build the site below root into where/html, with doctrees beside it, as ``sphinx-build -n`` does."""
    nocolor()
    with docutils_namespace():
        return _build(root, where, jobs, strict)


def _build(root: Path, where: Path, jobs: int, strict: bool) -> Built:
    built, warnings = Built(where / "html"), StringIO()
    try:
        app = Sphinx(str(root), str(root / "conf"), str(built.out), str(where / "doctrees"), "html",
                     confoverrides={"nitpicky": True}, status=None, warning=warnings, parallel=jobs,
                     warningiserror=strict)
    except SphinxError as error:
        built.status, built.warnings = 2, f"{warnings.getvalue()}{error.category}: {error}"
        return built
    app.connect("env-before-read-docs", lambda app, env, names: built.read.extend(names))
    app.connect("html-page-context", lambda app, name, *rest: built.written.append(name))
    app.build()
    built.status, built.warnings = app.statuscode, warnings.getvalue()
    built.read.sort()
    built.written.sort()
    return built


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a built site by its path."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
