"""One HTML document for paper: a template of conf/templates with its styles inside, so that it needs no other file."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

FACE = Path(__file__).resolve().parents[3] / "conf"
PAPERS = {"letter": "8.5in 11in", "a4": "210mm 297mm"}


def document(template: str, styles: tuple[str, ...], paper: str, **values: Any) -> str:
    """A template filled in; values are shown as text only. ``paper`` is one of PAPERS."""
    texts = [(FACE / "static" / "css" / name).read_text(encoding="utf-8") for name in styles]
    style = "\n".join([*texts, f"@page {{ size: {PAPERS[paper]}; }}"])
    return _templates().get_template(template).render(style=style, **values)


@cache
def _templates() -> Environment:
    return Environment(loader=FileSystemLoader(FACE / "templates"), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True)
