"""Every id that is named is declared: sources, gates, tools, accesses, parts, faults, symptoms, checks, calculators."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ...names import offer
from ...problems import Place, Problem
from ..acts import Act, Check, Procedure, Remedy
from ..model import Knowledge


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code unknown-reference."""
    look = _Look(knowledge)
    for symptom in knowledge.symptoms.values():
        yield from look.all("fault", symptom.faults, symptom, "faults")
        yield from look.all("symptom", symptom.also, symptom, "also")
        yield from look.all("symptom", symptom.mistaken_for, symptom, "mistaken_for")
        yield from look.all("check", symptom.first, symptom, "first")
        for name, also in symptom.also.items():
            yield from look.one("check", also.ask, symptom.at("also", name, "ask"))
        judged = symptom.learned.get("judged", {})
        yield from look.one("source", judged.get("source", ""), symptom.at("learned", "judged", "source"))
    for fault in knowledge.faults.values():
        yield from look.all("fault", fault.caused_by, fault, "caused_by")
    for access in knowledge.access.values():
        yield from look.one("access", access.inside, access.at("inside"))
        yield from look.all("gate", access.gates, access, "gates")
    for gate in knowledge.gates.values():
        yield from look.all("access", gate.voided_by["opens"], gate, "voided_by", "opens")
    for calculator in knowledge.calculators.values():
        yield from look.all("constant", calculator.constants, calculator, "constants")
        yield from look.all("table", calculator.tables, calculator, "tables")
        for name, one in calculator.inputs.items():
            yield from look.one("plate value", one.plate, calculator.at("inputs", name, "plate"))
        for index, example in enumerate(calculator.examples):
            yield from look.one("source", example.source, calculator.at("examples", index, "source"))
    for kind in ("constants", "tables", "gates", "access", "tools", "parts", "units", "symptoms", "calculators"):
        for entity in getattr(knowledge, kind).values():
            yield from look.one("source", entity.source, entity.at("source"))
    for procedure in knowledge.procedures.values():
        yield from _procedure(look, procedure)


def _procedure(look: _Look, procedure: Procedure) -> Iterator[Problem]:
    yield from look.all("symptom", procedure.symptoms, procedure, "symptoms")
    yield from look.all("gate", procedure.safety_gates, procedure, "safety_gates")
    yield from look.all("tool", procedure.tools, procedure, "tools")
    for tolerance in procedure.tolerances.values():
        yield from look.one("tool", tolerance.tool, tolerance.at("tool"))
        yield from look.one("source", tolerance.source, tolerance.at("source"))
    for act in (*procedure.checks.values(), *procedure.remedies.values()):
        yield from look.act(act)


# What a file that could not be read would have declared.
_KINDS = {"sources": "source", "constants": "constant", "gates": "gate", "access": "access", "tools": "tool",
          "parts": "part", "plate": "plate value", "faults": "fault"}


class _Look:
    def __init__(self, knowledge: Knowledge) -> None:
        self.broken = knowledge.broken
        self.hidden = {_KINDS[kind] for kind in knowledge.hidden & set(_KINDS)}
        self.known = {
            "fault": knowledge.faults, "symptom": knowledge.symptoms, "check": knowledge.checks,
            "access": knowledge.access, "gate": knowledge.gates, "constant": knowledge.constants,
            "table": knowledge.tables, "plate value": knowledge.plate, "source": knowledge.sources,
            "tool": knowledge.tools, "part": knowledge.parts, "calculator": knowledge.calculators,
            "hypothesis": {**knowledge.faults, "normal": None, "other": None},
        }
        self.procedures = knowledge.procedures
        self.calculators = knowledge.calculators

    def one(self, kind: str, name: str, place: Place) -> Iterator[Problem]:
        """The problem that a name is not known, if so. An empty name is no reference."""
        known = self.known[kind]
        if not name or name in known or name in self.broken or name.split("/")[0] in self.broken:
            return
        if kind in self.hidden or (kind == "hypothesis" and "fault" in self.hidden):
            return
        shown = "fault" if kind == "hypothesis" else kind
        yield Problem.at(place, "unknown-reference", f"there is no {shown} {name!r}", offer(name, known))

    def all(self, kind: str, names: Iterable[str], entity, *path: str) -> Iterator[Problem]:
        """The same for the items of a list or the keys of a mapping."""
        for index, name in enumerate(names):
            place = entity.at(*path, name) if (*path, name) in entity.places else entity.at(*path, index)
            yield from self.one(kind, name, place)

    def act(self, act: Act) -> Iterator[Problem]:
        """The references of a check or a remedy."""
        yield from self.one("access", act.access, act.at("access"))
        yield from self.all("access", act.closes, act, "closes")
        yield from self.all("gate", act.gates, act, "gates")
        yield from self.all("tool", act.tools, act, "tools")
        if act.minutes.calculator:
            yield from self.one("calculator", act.minutes.calculator, act.at("minutes", "calculator"))
            yield from self._output(act)
        if isinstance(act, Check):
            yield from self._check(act)
        if isinstance(act, Remedy):
            yield from self.all("fault", act.ends, act, "ends")
            yield from self.one("part", act.part, act.at("part"))
            yield from self.one("check", act.proof, act.at("proof"))

    def _output(self, act: Act) -> Iterator[Problem]:
        calculator = self.calculators.get(act.minutes.calculator)
        if calculator and act.minutes.output not in calculator.outputs:
            yield Problem.at(act.at("minutes", "output"), "unknown-reference",
                             f"the calculator {calculator.id} has no output {act.minutes.output!r}",
                             f"one of {', '.join(calculator.outputs)}")

    def _check(self, check: Check) -> Iterator[Problem]:
        declared = self.procedures[check.procedure].tolerances
        for name in (*check.measure, *([check.limit] if check.limit else ())):
            if name not in declared:
                key = "limit" if name == check.limit else "measure"
                yield Problem.at(check.at(key), "unknown-reference", f"the procedure has no tolerance {name!r}",
                                 f"one of {', '.join(declared) or 'none yet: declare it under tolerances'}")
        for answer in check.answers.values():
            yield from self.all("hypothesis", answer.likelihood, check, "answers", answer.id, "likelihood")
        for name in (check.clear, *(check.otherwise or ())):
            if name not in check.answers:
                place = check.at("clear") if name == check.clear else check.at("otherwise", name)
                yield Problem.at(place, "answer-unknown", f"the check has no answer {name!r}" if name else
                                 "the check does not say which answer is clear", f"one of {', '.join(check.answers)}")
