"""The complaints of the YAML files beside this one, and which of them are held out.

A third is held out by the hash of its text. It was written in one go with the rest, before anything was tuned, and
serves to measure only: while weights, words and phrases are changed, nobody looks at what of it is missed. What was
added for a system later was again written and split in one go.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import yaml

HERE = Path(__file__).parent
NAMES = ("set", "ordinary", "emergencies", "refusals", "later-emergencies", "later-refusals", "later-ordinary",
         "last-emergencies", "last-refusals", "last-ordinary", "cold-emergencies", "cold-refusals", "cold-ordinary")


@dataclass(frozen=True)
class Case:
    """A complaint, the ids that are right for it, and the emergencies and refusals that may be shown besides.

    system: no id is right, and only symptoms of this system may be found.
    """

    text: str
    right: tuple[str, ...]
    may: tuple[str, ...] = ()
    system: str = ""

    @property
    def held_out(self) -> bool:
        """Whether it belongs to the third that nothing is tuned on."""
        return hashlib.sha256(self.text.encode()).digest()[0] % 3 == 0


@cache
def cases(name: str) -> tuple[Case, ...]:
    """The complaints of one of the four files."""
    read = yaml.safe_load((HERE / f"{name}.yaml").read_text(encoding="utf-8"))
    if isinstance(read, list):
        return tuple(Case(text, ()) for text in read)
    return tuple(_case(right, one) for right, texts in read.items() for one in texts)


def _case(right: str, one: str | dict) -> Case:
    said = one if isinstance(one, dict) else {"text": one}
    ids = () if right == "elsewhere" else (right, *said.get("or", ()))
    return Case(said["text"], ids, tuple(said.get("may", ())), said.get("system", ""))
