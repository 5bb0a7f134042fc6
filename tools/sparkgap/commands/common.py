"""What the commands share: finding the knowledge, and saying what stops a command."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from ..knowledge import Knowledge, load
from ..names import offer


class Refused(Exception):
    """A command cannot go on; ``lines`` say why and what to do."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


def find_root(start: Path | None = None) -> Path:
    """The folder with kb/knowledge.yaml: here, above, or the checkout that this package is installed from."""
    here = (start or Path.cwd()).resolve()
    for folder in (here, *here.parents, Path(__file__).resolve().parents[3]):
        if (folder / "kb" / "knowledge.yaml").exists():
            return folder
    raise Refused(f"no knowledge found in {here} or above it", "go to the checkout, or name it with --root DIR")


def known(kind: str, name: str, entities: dict[str, Any]) -> Any:
    """The entity of that id, or a refusal that names the nearest ids."""
    if name not in entities:
        raise Refused(f"there is no {kind} {name!r}", offer(name, entities))
    return entities[name]


def sound_knowledge(root: Path | None) -> Knowledge:
    """The knowledge, refused while it has problems: answers from broken knowledge could mislead."""
    knowledge = load(root or find_root())
    if knowledge.problems:
        shown = [str(problem) for problem in knowledge.problems[:5]]
        more = len(knowledge.problems) - len(shown)
        raise Refused(*shown, *([f"… and {more} more"] if more else []), "mend these first; sparkgap check shows all")
    return knowledge


def print_json(value: Any) -> None:
    """Print a JSON value for machines: keys in their order, no escapes."""
    json.dump(value, sys.stdout, indent=2, ensure_ascii=False)
    sys.stdout.write("\n")
