"""One kind of report for everything that can be wrong with the knowledge.

A problem says where it is (path, line, column), what it is (a code of :data:`CODES` and a message)
and how to mend it. Readers and rules collect problems and go on, so that an author sees all of them at once.
"""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass, field

CODES: dict[str, str] = {
    "file-unreadable": "a file cannot be read: missing, a directory, no permission, not UTF-8 or too large",
    "file-stray": "a YAML file stands where nothing reads it",
    "yaml-syntax": "the YAML does not parse",
    "yaml-duplicate-key": "a key stands twice in one mapping",
    "yaml-ambiguous": "a plain value that YAML would read as something else: date, yes/no, sexagesimal, leading zero",
    "yaml-null": "a value is missing",
    "yaml-alias": "anchors and aliases are not used in the knowledge",
    "front-matter-missing": "a procedure has no front matter",
    "schema": "a value does not fit the schema",
    "id-mismatch": "the id differs from the file name",
    "id-duplicate": "an id is used twice",
    "unknown-reference": "an id is named that nothing declares",
    "unit-unknown": "a unit that Sparkgap does not know",
    "quantity-invalid": "a quantity does not parse or has the wrong dimension",
    "plate-invalid": "a data-plate value does not fit the plate vocabulary",
    "variant-match": "not exactly one variant matches a shipped unit",
    "likelihood": "the likelihoods of a check do not make a distribution",
    "answer-unknown": "an answer is named that the check does not have",
    "expression": "an expression does not parse or its dimensions do not fit",
    "constant-unfit": "a constant that the diagnosis computes with is missing or out of its range",
    "directive-unknown": "a procedure's text has a directive that the pages do not use",
    "text-nested": "directives in a procedure's text nest too deep",
    "not-placed": "a declared item is not placed in the procedure's text",
    "not-declared": "a placed item is not declared",
    "gate-late": "a safety gate comes after the first step that needs it",
    "gate-missing": "a step needs a safety gate that the procedure does not list",
    "heat-gate-missing": "an act lights the burner or heats without a safety gate that this needs",
    "heat-access-open": "an act lights the burner or heats without closing an access that this needs shut",
    "source-missing": "a number has no source",
    "fault-unremedied": "a fault has no remedy",
    "proof-missing": "a remedy has no proof",
    "symptom-unreachable": "a fault of a symptom is told apart by no check",
    "unused": "a declared item is used nowhere",
    "cycle": "a chain of references comes back to itself",
    "example-fails": "a worked example does not give the stated result",
}


# Characters that no eye sees and that mislead it: controls, line breaks of other worlds, directions, half characters.
ODD = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff"
                 "\ud800-\udfff]")
LONGEST = 1000  # characters of a message


def in_one_line(text: str) -> str:
    """A text as it may stand in a report: line breaks and odd characters are written out, the end of a long one not."""
    shown = text if len(text) <= LONGEST else f"{text[:LONGEST - 1]}…"
    return ODD.sub(lambda odd: f"\\u{ord(odd[0]):04x}", shown.replace("\n", "\\n").replace("\t", "\\t"))


@dataclass(frozen=True, order=True)
class Place:
    """Where something stands: a path relative to the knowledge's root, line and column counted from one."""

    path: str
    line: int = 1
    column: int = 1


@dataclass(frozen=True, order=True)
class Problem:
    """One thing to mend."""

    path: str
    line: int
    column: int
    code: str
    message: str
    fix: str = field(default="")

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"undocumented problem code {self.code!r}")
        for name in ("message", "fix"):  # both may quote what was written
            object.__setattr__(self, name, in_one_line(getattr(self, name)))

    @classmethod
    def at(cls, place: Place, code: str, message: str, fix: str = "") -> Problem:
        """A problem at a place."""
        return cls(place.path, place.line, place.column, code, message, fix)

    def __str__(self) -> str:
        tail = f" ({self.fix})" if self.fix else ""
        return f"{self.path}:{self.line}:{self.column}: {self.code} {self.message}{tail}"

    def as_json(self) -> dict:
        """The problem as the JSON object that schema/problems.schema.json describes."""
        return asdict(self)
