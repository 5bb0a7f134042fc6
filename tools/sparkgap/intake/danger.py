"""Danger and refusals: the signs that are found among the words of a complaint, in whatever order they are said."""

from __future__ import annotations

from typing import Any

from .expressions import Finder
from .words import Said, denied

Places = dict[str, list[tuple[int, int]]]


def resolved(signs: list[dict[str, Any]], groups: dict[str, list[str]]) -> list[dict[str, Any]]:
    """The signs with every "@name" replaced by the expressions of that group."""
    def spread(expressions: list[str]) -> list[str]:
        return [one for e in expressions for one in (groups[e[1:]] if e.startswith("@") else [e])]

    return [{**sign, "all": [spread(group) for group in sign["all"]], "none": spread(sign["none"])} for sign in signs]


class Watch:
    """All signs of an index, looked for in one go."""

    def __init__(self, index: dict[str, Any]) -> None:
        self.signs = {kind: {name: resolved(one["signs"], index["groups"]) for name, one in index[kind].items()}
                      for kind in ("emergencies", "refusals")}
        every = {e for kind in self.signs.values() for signs in kind.values() for sign in signs
                 for e in [*sign["none"], *(e for group in sign["all"] for e in group)]}
        self.finder = Finder(every)
        self.words = {word for e in every for word in e.split(" ")}

    def heard(self, kind: str, said: list[Said], places: Places) -> dict[str, str]:
        """The ids of a kind whose signs are found, each with what it was recognised by."""
        no = denied(said)
        found = {}
        for name, signs in self.signs[kind].items():
            because = next((b for b in (_because(sign, said, places, no) for sign in signs) if b), "")
            if because:
                found[name] = because
        return found


def _because(sign: dict[str, Any], said: list[Said], places: Places, no: list[bool]) -> str:
    """The words by which a sign is recognised, "" when it is not."""
    groups = []
    for group in sign["all"]:
        here = sorted(place for e in group for place in places.get(e, ()) if not no[place[0]])
        if not here:
            return ""
        groups.append(here)
    against = [at for e in sign["none"] for at, _ in places.get(e, ())]
    for start, _ in sorted(place for here in groups for place in here):
        picked = [next((place for place in here if start <= place[0] <= start + sign["within"]), None)
                  for here in groups]
        if None in picked or any(abs(at - start) <= sign["within"] for at in against):
            continue
        whole = sorted(set(picked))
        return sign["said"] or " … ".join(" ".join(one.word for one in said[a:b]) for a, b in whole)
    return ""
