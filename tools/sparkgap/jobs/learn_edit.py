"""Learned weights as an edit of kb/: new weights, what they count, and a source for the shop's own jobs."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from ..diagnosis.specialise import NORMAL, OTHER
from ..knowledge import Knowledge
from ..knowledge.edit import Edit, EditError, quoted
from ..knowledge.model import Symptom
from .learn_cases import Case
from .learn_weights import Prior, Row

SOURCES = "kb/sources.yaml"


@dataclass(frozen=True)
class Origin:
    """The source that learned weights name: of the shop's own jobs, or of invented ones."""

    id: str
    kind: str
    title: str
    where: str


SHOP = Origin("shop-jobs", "dataset", "Closed jobs of this shop",
              "job files, counted by sparkgap learn; jobs that were repaired and proved, or found normal")
INVENTED = Origin("demo-jobs", "demo", "Invented closed jobs, for trying out",
                  "job files marked demo, counted by sparkgap learn")


@dataclass(frozen=True)
class Learned:
    """One symptom's result: its judged weights, the jobs that count, and every cause before and after."""

    prior: Prior
    cases: list[Case]
    rows: list[Row]

    @property
    def days(self) -> tuple[str, str]:
        """The days on which the first and the last job were closed."""
        return min(case.day for case in self.cases), max(case.day for case in self.cases)


def edits(knowledge: Knowledge, learned: Iterable[Learned], origin: Origin) -> dict[str, tuple[str, str]]:
    """Path below the knowledge's root -> text before and after, where they differ. Raises EditError and OSError."""
    learned = list(learned)
    paths = {one.prior.symptom: knowledge.symptoms[one.prior.symptom].place.path for one in learned}
    texts = {path: _read(knowledge.root, path) for path in sorted({SOURCES, *paths.values()})}
    changed = {paths[one.prior.symptom]: _symptom(texts[paths[one.prior.symptom]],
                                                  knowledge.symptoms[one.prior.symptom], one, origin)
               for one in learned}
    if learned:
        changed[SOURCES] = _source(texts[SOURCES], knowledge, learned, origin)
    return {path: (texts[path], text) for path, text in sorted(changed.items()) if text != texts[path]}


def _read(root: Path, path: str) -> str:
    return (Path(root) / path).read_bytes().decode("utf-8")


def diff(changes: Mapping[str, tuple[str, str]]) -> str:
    """The changes as one unified diff, as git apply reads it."""
    lines: list[str] = []
    for path, (before, after) in changes.items():
        for line in difflib.unified_diff(_lines(before), _lines(after), f"a/{path}", f"b/{path}"):
            lines.append(line if line.endswith("\n") else line + "\n\\ No newline at end of file\n")
    return "".join(lines)


def _lines(text: str) -> list[str]:
    """Lines as git counts them: only a line feed ends one."""
    parts = text.split("\n")
    return [part + "\n" for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])


def number(value: float) -> str:
    """A number without exponent and without idle zeros."""
    text = f"{value:.12f}".rstrip("0").rstrip(".")
    return text or "0"


def _symptom(text: str, symptom: Symptom, one: Learned, origin: Origin) -> str:
    edit = Edit(text)
    _judged(edit, symptom, one)
    weights = {row.key: number(row.learned) for row in one.rows}
    for (kind, name), value in weights.items():
        path = {"fault": ("faults", name), "also": ("also", name, "weight"), "share": ("weights", name)}[kind]
        if edit.has(*path):
            _replace(edit, path, value)
    stated = [name for name in (NORMAL, OTHER) if not edit.has("weights", name)]
    if len(stated) == 2 and not edit.has("weights"):
        both = ", ".join(f"{name}: {weights['share', name]}" for name in (NORMAL, OTHER))
        edit.add((), "weights", f"{{{both}}}", after="summary")
    else:
        for name in stated:
            edit.add(("weights",), name, weights["share", name])
    if symptom.source != origin.id:
        edit.set(("source",), origin.id)
    return edit.text()


def _replace(edit: Edit, path: tuple[str, ...], value: str) -> None:
    """Write another number; one that only is written otherwise stays."""
    if float(edit.raw(*path)) != float(value):
        edit.set(path, value)


def _judged(edit: Edit, symptom: Symptom, one: Learned) -> None:
    """Keep what was judged before the first job was counted, and say which jobs count now."""
    first, last = one.days
    groups = _groups(one.prior)
    if not edit.has("learned"):
        judged = [line for group, values in groups.items() for line in _block(group, values, 4)]
        lines = [f"  jobs: {len(one.cases)}", f"  first: {quoted(first)}", f"  last: {quoted(last)}", "  judged:",
                 f"    source: {symptom.source}", *judged]
        edit.add((), "learned", "\n".join(["", *lines]), after="source")
        return
    for key, value in (("jobs", str(len(one.cases))), ("first", first), ("last", last)):
        edit.set(("learned", key), value)
    for group, values in groups.items():  # what was added to the lists since then is judged, too
        if not edit.has("learned", "judged", group):
            edit.add(("learned", "judged"), group, "\n".join(["", *_block(group, values, 0)[1:]]))
        else:
            for name, value in values.items():
                if not edit.has("learned", "judged", group, name):
                    edit.add(("learned", "judged", group), name, value)


def _groups(prior: Prior) -> dict[str, dict[str, str]]:
    """The judged weights as a symptom groups them."""
    groups: dict[str, dict[str, str]] = {"weights": {}, "faults": {}, "also": {}}
    for (kind, name), value in prior.weights.items():
        groups[{"share": "weights", "fault": "faults", "also": "also"}[kind]][name] = number(value)
    return {group: values for group, values in groups.items() if values}


def _block(group: str, values: Mapping[str, str], indent: int) -> list[str]:
    """Lines of YAML."""
    room = " " * indent
    return [f"{room}{group}:", *(f"{room}  {name}: {value}" for name, value in values.items())]


def _source(text: str, knowledge: Knowledge, learned: list[Learned], origin: Origin) -> str:
    """The source's entry, its note brought up to date. It speaks of every symptom that was ever learned from it."""
    spans = {name: (one.learned["jobs"], one.learned["first"], one.learned["last"])
             for name, one in knowledge.symptoms.items() if one.learned and one.source == origin.id}
    spans |= {one.prior.symptom: (len(one.cases), *one.days) for one in learned}
    jobs = sum(count for count, _, _ in spans.values())
    symptoms = "1 symptom" if len(spans) == 1 else f"{len(spans)} symptoms"
    note = (f"{'1 job' if jobs == 1 else f'{jobs} jobs'} of {symptoms}, closed from "
            f"{min(first for _, first, _ in spans.values())} to {max(last for _, _, last in spans.values())}, on top "
            f"of judged weights that count like {learned[0].prior.jobs:g} jobs for each symptom.")
    edit = Edit(text)
    if not edit.has(origin.id):
        edit.add((), origin.id, "\n".join([
            "", f"  kind: {origin.kind}", f"  title: {quoted(origin.title)}", f"  where: {quoted(origin.where)}",
            f"  note: {quoted(note)}"]))
    elif edit.has(origin.id, "note"):
        edit.set((origin.id, "note"), note)
    else:
        edit.add((origin.id,), "note", quoted(note))
    if knowledge.sources.get(origin.id) and knowledge.sources[origin.id].kind != origin.kind:
        raise EditError(f"{SOURCES}: {origin.id} is there with another kind than {origin.kind}: rename one of them")
    return edit.text()
