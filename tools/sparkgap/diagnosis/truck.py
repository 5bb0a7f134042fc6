"""What to load for one unit, as lines of plain text: the end of a talk with an owner. truck.js writes the same."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor
from typing import Any

from .reasons import QUALIFIED, count, percent

LEAST = 0.02  # what is needed less often than this is not listed
CAUSES = 3  # so many causes are named


def truck(title: str, result: Mapping[str, Any], told: Mapping[str, Any], words: Mapping) -> list[str]:
    """The truck list of a symptom from the guide's result and its outlook.

    ``words`` holds titles by id under ``faults``, ``tools``, ``parts`` and ``plate``.
    """
    belief = result["belief"]
    ranked = sorted(belief, key=lambda name: (-belief[name], name))[:CAUSES]
    causes = [f"{words['faults'].get(name, name)}, {percent(belief[name])}" for name in ranked]
    lines = [f"Truck list: {title}", f"Likeliest: {'; '.join(causes)}"]
    if told["minutes"] is not None:
        lines.append(f"At the unit: {stay(told)}")
    lines += _load("Tools", told["tools"], words["tools"]) + _load("Parts", told["parts"], words["parts"])
    lines += _who(result)
    if result["missing"]:
        names = sorted(result["missing"], key=lambda name: (name != told["ask_first"], name))
        lines += ["", "Let the owner read off:"] + [f"  {words['plate'].get(name, name)}" for name in names]
    return lines


def stay(told: Mapping[str, Any]) -> str:
    """Expected minutes at the unit with their range, and whether parts may have to be waited for."""
    low, mean, high = (floor(told[name] + 0.5) for name in ("low", "minutes", "high"))
    around = f" ({low} to {high})" if low != high else ""
    waits = any(one["wait"] > 0 for one in told["courses"].values() if one["end"] == "proved")
    return f"about {mean} min{around}{', waiting for parts besides' if waits else ''}"


def _load(head: str, things: list, titles: Mapping) -> list[str]:
    listed = [f"  {percent(one['p'])}  {titles.get(one['id'], one['id'])}" for one in things if one["p"] >= LEAST]
    return ["", head, *listed] if listed else []


def _who(result: Mapping[str, Any]) -> list[str]:
    lines = []
    for name in sorted(QUALIFIED):
        acts = sum(1 for one in result["needs_qualified"] if name in one["needs"])
        if acts:
            lines.append(f"  {QUALIFIED[name]}: {count(acts, 'act')}")
    return ["", "Who else may be needed", *lines] if lines else []
