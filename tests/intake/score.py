"""How well complaints are ranked, and danger and refusals heard: ``python -m tests.intake.score [--phrases]``.

With ``--phrases`` each shipped phrase is also left out in turn and ranked by the others, which takes minutes.
"""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Iterable
from dataclasses import dataclass

from sparkgap.intake import Ranker, build_index
from sparkgap.knowledge import Knowledge

from tests.intake.sets import Case, cases
from tests.loaded import shipped


@dataclass(frozen=True)
class Ranking:
    """Of so many complaints, how many have the right symptom first, and among the first three."""

    number: int
    first: int
    third: int

    def __str__(self) -> str:
        return (f"{self.number:4d} complaints, right one first {self.first:3d} ({self.first / self.number:.1%}), "
                f"among three {self.third:3d} ({self.third / self.number:.1%})")


def ranking(ranker: Ranker, chosen: Iterable[Case]) -> Ranking:
    """How the symptoms of complaints are ranked."""
    number = first = third = 0
    for case in chosen:
        ids = [one["id"] for one in ranker.intake(case.text)["symptoms"][:3]]
        number += 1
        first += ids[:1] != [] and ids[0] in case.right
        third += any(one in case.right for one in ids)
    return Ranking(number, first, third)


def strays(ranker: Ranker, chosen: Iterable[Case]) -> list[str]:
    """The complaints about other systems that find a symptom of a wrong one."""
    of = {one["id"]: one["system"] for one in ranker.index["symptoms"]}
    return [case.text for case in chosen
            if any(of[one["id"]] != case.system for one in ranker.intake(case.text)["symptoms"][:1])]


def missed(ranker: Ranker, kind: str, chosen: Iterable[Case]) -> list[str]:
    """The complaints whose emergency or refusal is not among those shown."""
    return [case.text for case in chosen
            if not any(one["id"] in case.right for one in ranker.intake(case.text)[kind])]


def false_alarms(ranker: Ranker, chosen: Iterable[Case]) -> list[str]:
    """The complaints for which an emergency or a refusal is shown that has no business there."""
    return [case.text for case in chosen
            if any(one["id"] not in case.may for kind in ("emergencies", "refusals")
                   for one in ranker.intake(case.text)[kind])]


def part(name: str, held: bool) -> list[Case]:
    """The tuned or the held-out complaints of a file."""
    return [case for case in cases(name) if case.held_out == held]


def symptom_cases(held: bool) -> list[Case]:
    """The complaints of set.yaml for which a symptom is right."""
    return [case for case in part("set", held) if case.right]


def other_cases(held: bool) -> list[Case]:
    """Those about other systems."""
    return [case for case in part("set", held) if not case.right]


def phrases_left_out(knowledge: Knowledge) -> Ranking:
    """Each phrase of a symptom ranked by an index that lacks it."""
    number = first = third = 0
    for name, symptom in sorted(knowledge.symptoms.items()):
        for phrase in symptom.phrases:
            rest = dataclasses.replace(symptom, phrases=tuple(p for p in symptom.phrases if p != phrase))
            lacking = dataclasses.replace(knowledge, symptoms={**knowledge.symptoms, name: rest})
            found = ranking(Ranker(build_index(lacking)), [Case(phrase, (name,))])
            number, first, third = number + 1, first + found.first, third + found.third
    return Ranking(number, first, third)


def table(ranker: Ranker) -> list[str]:
    """All figures as lines."""
    lines = []
    for held in (False, True):
        which = "held out" if held else "tuned on"
        lines.append(f"symptoms, {which}: {ranking(ranker, symptom_cases(held))}")
        others = other_cases(held)
        lines.append(f"other systems, {which}: {len(strays(ranker, others))} of {len(others)} stray")
        for kind in ("emergencies", "refusals"):
            chosen = part(kind, held)
            lines.append(f"{kind}, {which}: {len(missed(ranker, kind, chosen))} of {len(chosen)} missed")
        usual = [*part("ordinary", held), *part("set", held)]
        lines.append(f"ordinary, {which}: {len(false_alarms(ranker, usual))} of {len(usual)} false alarms")
    for word in ("later", "last", "cold"):
        for kind in ("emergencies", "refusals"):
            chosen = cases(f"{word}-{kind}")
            lines.append(f"{word} {kind}: {len(missed(ranker, kind, chosen))} of {len(chosen)} missed")
        usual = cases(f"{word}-ordinary")
        lines.append(f"{word} ordinary: {len(false_alarms(ranker, usual))} of {len(usual)} false alarms")
    return lines


def main() -> None:
    """Print the table."""
    ranker = Ranker(build_index(shipped()))
    print("\n".join(table(ranker)))
    if "--phrases" in sys.argv:
        print(f"phrases, each left out: {phrases_left_out(shipped())}")


if __name__ == "__main__":
    main()
