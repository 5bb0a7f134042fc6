"""The generated scripts of a site, written into its _static folder."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from .facts import Facts


def write(app: Any, facts: Facts) -> None:
    """Write the generated scripts of an HTML build into its _static folder."""
    if app.builder.format != "html":
        return
    folder = Path(app.outdir) / "_static"
    folder.mkdir(parents=True, exist_ok=True)
    if not facts.scripts:
        from .scripts import scripts  # here: where a snapshot has them, nothing is compiled

        facts.scripts.update(scripts(facts))
    digest = json.dumps(facts.knowledge.digest)  # of the prose too, so that it changes where the rest does not
    data = f'{{"digest":{digest},{facts.scripts["data"][1:]}'
    head = "globalThis.Sparkgap = globalThis.Sparkgap || {};\n"
    _put(folder / "sparkgap-data.js", f"{head}globalThis.Sparkgap.data = {data};\n")
    _put(folder / "intake-data.js", f"globalThis.Sparkgap.data.intake = {facts.scripts['intake']};\n")
    _put(folder / "job-format.js", f"Sparkgap.jobFormat = {facts.scripts['job']};\n")
    _put(folder / "calculators.js", facts.scripts["calculators"])


def _put(path: Path, text: str) -> None:
    """Write a file unless it already says this."""
    if not path.is_file() or path.read_text(encoding="utf-8") != text:
        path.write_text(text, encoding="utf-8")
