"""The same knowledge several times over: copies of symptoms, procedures, faults and calculators under other ids.

Gates, tools, parts, plates and tables stay shared, as they would in a network of shops. What comes out passes
``sparkgap check``.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

from sparkgap.knowledge import Knowledge, load

# Where shared things are named. A part or a gate may have the id of a procedure or a fault; here it keeps it.
_SHARED = (r"(?:safety_gates|gates|tools|tool|closes|part|access|source)\"?:\s*(?:\[[^\]]*\]|[\w-]+)"
           r"|\{(?:rv:)?(?:gate|tool|part|source|unit)\}\s*`?[^`\n]*")


def multiply(source: Path, target: Path, times: int) -> Knowledge:
    """Write the knowledge below source into target, ``times`` times. Raises ValueError when it does not check."""
    for name in ("kb", "procedures"):
        shutil.copytree(source / name, target / name)
    original = load(source)
    for number in range(2, times + 1):
        _copy(original, source, target, _renamer(original, number))
    result = load(target)
    if result.problems:
        raise ValueError("the multiplied knowledge does not check:\n" + "\n".join(map(str, result.problems[:10])))
    return result


def _ids(knowledge: Knowledge) -> set[str]:
    ids = {*knowledge.symptoms, *knowledge.procedures, *knowledge.faults, *knowledge.calculators}
    single = sorted(one for one in ids if "-" not in one)
    if single:
        raise ValueError(f"{', '.join(single)}: a single word cannot be told from prose; the bench renames in text")
    return ids


def _renamer(knowledge: Knowledge, number: int) -> Callable[[str], str]:
    """Text with every id that is copied renamed, and the readings of judges whose tolerances are named alike."""
    ids = _ids(knowledge)
    readings = {one.replace("-", "_") for p in knowledge.procedures.values() for one in p.tolerances if one in ids}
    longest = sorted(ids, key=len, reverse=True)
    names = re.compile(rf"(?P<shared>{_SHARED})|(?<![\w-])(?P<id>{'|'.join(map(re.escape, longest))})(?![\w-])")
    variables = re.compile(rf"(?<!\w)({'|'.join(sorted(readings))})(?!\w)") if readings else None

    def rename(text: str) -> str:
        text = names.sub(lambda found: found["shared"] or f"{found['id']}-c{number}", text)
        return variables.sub(rf"\1_c{number}", text) if variables else text

    return rename


def _copy(knowledge: Knowledge, source: Path, target: Path, rename: Callable[[str], str]) -> None:
    ids = _ids(knowledge)
    for folder in ("kb/symptoms", "kb/calculators", "procedures", "kb/tables"):
        for file in sorted(path for path in (source / folder).rglob("*") if path.suffix in (".yaml", ".md")):
            if folder != "kb/tables" or file.stem in ids:
                new = target / file.relative_to(source).with_name(rename(file.stem) + file.suffix)
                new.write_text(rename(file.read_text(encoding="utf-8")), encoding="utf-8")
    for file in sorted((source / "kb/faults").glob("*.yaml")):
        _append(target / file.relative_to(source), rename(blocks(file.read_text(encoding="utf-8"))["faults"]
                                                          .split("\n", 1)[1]))


def _append(file: Path, text: str) -> None:
    file.write_text(file.read_text(encoding="utf-8").rstrip("\n") + "\n" + text.rstrip("\n") + "\n", encoding="utf-8")


def blocks(text: str) -> dict[str, str]:
    """The top-level entries of a YAML mapping as they are written, by key."""
    found = re.split(r"(?m)^(?=[a-z][\w-]*:)", text)
    return {part.split(":", 1)[0]: part for part in found if ":" in part and not part.startswith(("#", " "))}
