"""Why an act comes next, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def reason(option: Mapping[str, Any], act: Mapping[str, Any] | None, result: Mapping[str, Any]) -> str:
    """A sentence for one ranked act; act is its entry in the compiled symptom, None for a stop."""
    if act is None:
        return f"weighs as much as {option['value']:.0f} minutes of work"
    parts = []
    if option["id"] in result.get("pending_first", []):
        parts.append("comes before anything is fired")
    elif option["id"] in result.get("pending_free", []):
        parts.append("free: look and ask before opening anything")
    if option.get("clears"):
        parts.append(f"can clear {option['clears']} of {_causes(result)} causes")
    minutes = max(1, round(option["cost"]))
    parts.append(f"{minutes} minute{'' if minutes == 1 else 's'}")
    parts.append("needs no tools" if not act["tools"] else f"needs {', '.join(act['tools'])}")
    if act["gates"]:
        parts.append(f"gates first: {', '.join(act['gates'])}")
    return "; ".join(parts)


def _causes(result: Mapping[str, Any]) -> int:
    return sum(1 for name in result["belief"] if name not in ("normal", "other"))
