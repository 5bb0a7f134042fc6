"""Which faults no check of a symptom can tell apart."""

from __future__ import annotations

from collections.abc import Mapping

from .belief import row

_SAME = 1e-12


def indistinct(sm: Mapping) -> list[dict]:
    """Groups of two or more faults of a specialised symptom whose rows are equal for all checks.

    Each group is {"faults": ids in order, "same_remedy": whether one remedy ends them all}: with it, telling
    them apart would save nothing.
    """
    groups: list[list[str]] = []
    for fault in sm["faults"]:
        home = next((group for group in groups if _alike(sm, group[0], fault["id"])), None)
        if home is None:
            groups.append([fault["id"]])
        else:
            home.append(fault["id"])
    return [
        {
            "faults": group,
            "same_remedy": any(set(group) <= set(remedy["ends"]) for remedy in sm["remedies"]),
        }
        for group in groups
        if len(group) > 1
    ]


def _alike(sm: Mapping, one: str, other: str) -> bool:
    return all(
        abs(p - q) <= _SAME
        for check in sm["checks"]
        for p, q in zip(row(check, one), row(check, other), strict=True)
    )
