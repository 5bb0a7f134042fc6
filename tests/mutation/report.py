"""What a mutation run found, as a table for people and as JSON."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from .harness import Mutant, Verdict
from .numbers import PUBLISHED

NEEDED = 0.95  # of the changes to published numbers must be noticed
COLUMNS = ("check", "test", "no-effect", "accepted", "survived", "error", "not tried")
Key = tuple[str, str, str]


def read_accepted(path: Path) -> dict[Key, str]:
    """The accepted survivors: (file, place, number as written) -> reason."""
    entries = yaml.safe_load(path.read_text(encoding="utf-8")) or []
    return {(one["file"], one["at"], one["written"]): one["reason"] for one in entries}


def key_of(mutant: Mutant) -> Key:
    """How accepted.yaml names a mutant's number."""
    number = mutant.number
    return number.path, "/".join(map(str, number.at)), number.written


@dataclass
class Report:
    """Counts, survivors and what is wrong with the accepted ones."""

    mutants: list[Mutant]
    verdicts: list[Verdict]
    accepted: dict[Key, str]
    failing: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)

    def outcome(self, verdict: Verdict) -> str:
        """The column of the table in which a verdict counts."""
        accepted = verdict.by == "survived" and key_of(verdict.mutant) in self.accepted
        return "accepted" if accepted else verdict.by

    def counts(self) -> dict[tuple[str, str], Counter]:
        """(kind, source kind) -> how many of each outcome."""
        table: dict[tuple[str, str], Counter] = {}
        for mutant in self.mutants:
            number = mutant.number
            table.setdefault((number.kind, number.source_kind), Counter())["not tried"] += 1
        for verdict in self.verdicts:
            number = verdict.mutant.number
            row = table[number.kind, number.source_kind]
            row["not tried"] -= 1
            row[self.outcome(verdict)] += 1
        return dict(sorted(table.items()))

    def published_rate(self) -> tuple[int, int]:
        """How many changes to published numbers were caught, of how many that had to be."""
        total = sum((row for (_, source), row in self.counts().items() if source in PUBLISHED), Counter())
        caught = total["check"] + total["test"]
        return caught, caught + total["survived"] + total["error"]

    def unneeded(self) -> list[Key]:
        """Accepted survivors that fit no number, or of which all changes tried were caught."""
        there = {key_of(mutant) for mutant in self.mutants}
        tried = {key_of(one.mutant) for one in self.verdicts}
        survived = {key_of(one.mutant) for one in self.verdicts if one.by == "survived"}
        return [key for key in self.accepted if key not in there or (key in tried and key not in survived)]

    def left(self, *outcomes: str) -> list[Verdict]:
        """The verdicts of some outcomes, published numbers first, then by place."""
        chosen = [one for one in self.verdicts if self.outcome(one) in outcomes]
        return sorted(chosen, key=lambda one: (not one.mutant.number.published, one.mutant.number.path,
                                               one.mutant.number.line, one.mutant.number.column, one.mutant.factor))

    def sound(self) -> bool:
        """Whether enough published numbers are caught and no acceptance is unneeded."""
        caught, needed = self.published_rate()
        return caught >= NEEDED * needed and not self.unneeded()

    def as_json(self) -> dict[str, Any]:
        """Everything, for machines."""
        caught, needed = self.published_rate()
        return {
            "published": {"caught": caught, "of": needed, "needed": NEEDED}, "sound": self.sound(),
            "counts": [{"kind": kind, "source_kind": source, **{name: row[name] for name in COLUMNS}}
                       for (kind, source), row in self.counts().items()],
            "survivors": [self._entry(one) for one in self.left("survived", "accepted", "error")],
            "caught": [self._entry(one) for one in self.left("check", "test")],
            "unneeded": [list(key) for key in self.unneeded()],
            "failing_before": self.failing, "unknown_places": self.skipped,
        }

    def _entry(self, verdict: Verdict) -> dict[str, Any]:
        number = verdict.mutant.number
        return {"file": number.path, "line": number.line, "column": number.column,
                "at": "/".join(map(str, number.at)), "kind": number.kind, "source": number.source,
                "source_kind": number.source_kind, "written": number.written, "factor": verdict.mutant.factor,
                "by": verdict.by, "what": verdict.what, "reason": self.accepted.get(key_of(verdict.mutant), "")}

    def lines(self, shown: int = 40) -> list[str]:
        """The table, the survivors with a published source, some of the others, and the verdict in words."""
        rows = [f"{'number':<20}{'source':<17}" + "".join(f"{name:>10}" for name in COLUMNS)]
        for (kind, source), row in self.counts().items():
            rows.append(f"{kind:<20}{source:<17}" + "".join(f"{row[name] or '-':>10}" for name in COLUMNS))
        left = self.left("survived", "error")
        first = [one for one in left if one.mutant.number.published]
        others = left[len(first):]
        rows += ["", f"Published and not caught: {len(first)}", *map(_line, first)]
        rows += [f"Others not caught: {len(others)}" + (f", of which {shown}" if len(others) > shown else "")]
        rows += map(_line, others[:shown])
        rows += [f"accepted without need: {' '.join(key)}" for key in self.unneeded()]
        rows += [f"left out, failed before any change: {name}" for name in self.failing]
        rows += [f"a number of no known kind: {place}" for place in self.skipped]
        caught, needed = self.published_rate()
        share = f"{caught / needed:.1%}" if needed else "none tried"
        untried = sum(row["not tried"] for (_, source), row in self.counts().items() if source in PUBLISHED)
        rows += ["", f"Published numbers: {caught} of {needed} changes caught ({share}; needed {NEEDED:.0%}); "
                 f"{untried} were not tried{', give it more minutes' if untried else ''}."]
        return rows


def _line(verdict: Verdict) -> str:
    number = verdict.mutant.number
    return (f"  {number.path}:{number.line}:{number.column}: {number.kind} {'/'.join(map(str, number.at))} "
            f"{number.written} x {verdict.mutant.factor:g} ({number.source or 'no source'}) {verdict.what}".rstrip())
