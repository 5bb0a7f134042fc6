"""Knowledge for tests, read once a run: the small invented base, and what the repository ships."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sparkgap.knowledge import Knowledge, load

ROOT = Path(__file__).resolve().parents[1]
BASE = ROOT / "tests" / "knowledge" / "base"


@cache
def base() -> Knowledge:
    """The base knowledge of tests/knowledge/base. It is shared: change nothing in it."""
    return load(BASE)


@cache
def shipped() -> Knowledge:
    """The knowledge of this repository. It is shared: change nothing in it."""
    return load(ROOT)
