"""From what a person types about a job to the evidence that the engines read.

Each of the functions collects what is wrong in ``problems`` (plain sentences) and goes on, so that a command
line with three mistakes is answered with three sentences.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ..knowledge.judges import judge_function
from ..knowledge.model import Amount, Check, Knowledge, Tolerance, Tool
from ..names import offer
from ..quantities import QuantityError, both, parse_quantity
from ..verdict import Instrument, Judgement, beyond, judge, judge_expression
from .specialise import applies

WHO = ("owner", "technician", "gas-qualified", "electrical-qualified")


class EvidenceReader:
    """Builds the evidence of a job; ``evidence`` and ``plate`` are the result, ``judged`` the judgements by check."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.checks = knowledge.checks
        self.problems: list[str] = []
        self.plate: dict[str, Any] = {}
        self.judged: dict[str, Judgement] = {}
        self.evidence: dict[str, Any] = {"results": {}, "aside": [], "replaced": [], "failed": [], "open": [],
                                         "who": ["technician"]}
        self._said: set[tuple[str, str]] = set()

    def unit(self, name: str) -> None:
        """Take the data plate of a shipped unit."""
        if name in self.knowledge.units:
            self.plate.update(self.knowledge.units[name].plate)
        else:
            self._unknown("unit", name, self.knowledge.units)

    def plate_value(self, text: str) -> None:
        """Take one data-plate value, written name=value."""
        name, value = self._pair(text, "--plate", "volume='12 gal'")
        if not name:
            return
        known = self.knowledge.plate.get(name)
        if known is None:
            self._unknown("data-plate value", name, self.knowledge.plate)
        elif not self._once("plate", name):
            return
        elif known.kind == "choice":
            if value in known.values:
                self.plate[name] = value
            else:
                self._unknown(f"{name}", value, known.values)
        else:
            amount = self._quantity(value, known.quantity, f"--plate {name}")
            if amount is not None:
                self.plate[name] = amount

    def who(self, names: Iterable[str]) -> None:
        """Who does the work: qualifications separated by commas."""
        found = [name.strip() for one in names for name in one.split(",") if name.strip()]
        for name in found:
            if name not in WHO:
                self._unknown("qualification", name, WHO)
        if found:
            self.evidence["who"] = sorted(set(found) & set(WHO))

    def found(self, text: str) -> None:
        """Take an answer, written check=answer; a ~ before the answer marks it as told by somebody."""
        name, answer = self._pair(text, "--found", "first-look/repeats=always")
        check = self._check(name) if name else None
        if check is None:
            return
        told = answer.startswith("~")
        answer = answer.removeprefix("~")
        if answer not in check.answers:
            self._unknown(f"answer of {check.gid}", answer, check.answers)
        elif self._once("check", check.gid):
            self._result(check, {answer: 1.0}, told)

    def reading(self, text: str) -> None:
        """Take a reading, written check=value@tool, or check=name:value@tool,name:value@tool for a judge."""
        name, value = self._pair(text, "--reading", "flame-sense/flame-current='1.4 uA@dc-microammeter'")
        check = self._check(name) if name else None
        if check is None:
            return
        if not check.measure:
            self.problems.append(f"{check.gid} asks for an answer, not a reading: one of {', '.join(check.answers)}")
            return
        readings = self._readings(check, value)
        if readings is not None and self._once("check", check.gid):
            self._judge(check, readings)

    def aside(self, names: Iterable[str]) -> None:
        """Set checks aside: they cannot be done now."""
        for name in names:
            check = self._check(name)
            if check:
                self.evidence["aside"].append(check.gid)

    def open(self, names: Iterable[str]) -> None:
        """Take accesses that stand open: opening them costs nothing more."""
        for name in names:
            if name in self.knowledge.access:
                self.evidence["open"].append(name)
            else:
                self._unknown("access", name, self.knowledge.access)

    def replaced(self, text: str) -> None:
        """Take a part fitted for this complaint, written part, part=before or part=unknown."""
        part, _, when = text.partition("=")
        if part not in self.knowledge.parts:
            self._unknown("part", part, self.knowledge.parts)
        elif when not in ("", "for-this", "before", "unknown"):
            self._unknown("time of fitting", when, ("for-this", "before", "unknown"))
        else:
            self.evidence["replaced"].append({"part": part, "when": when or "for-this"})

    def failed(self, name: str) -> None:
        """Take a remedy that was carried out and whose proof failed."""
        remedy = self._act("remedy", name, self.knowledge.remedies)
        if remedy:
            self.evidence["failed"].append(remedy.gid)

    def _result(self, check: Check, v: dict[str, float], told: bool = False) -> None:
        self.evidence["results"][check.gid] = {"v": v, "hearsay": told}

    def _once(self, kind: str, name: str) -> bool:
        """Whether something is said for the first time. Said twice it is a problem: neither would be the better."""
        if (kind, name) in self._said:
            self.problems.append(f"{name} is given twice: leave the one that holds")
            return False
        self._said.add((kind, name))
        return True

    def _check(self, name: str) -> Check | None:
        return self._act("check", name, self.checks)

    def _act(self, kind: str, name: str, acts: dict[str, Any]) -> Any:
        """A check or remedy by its global id, or by its own id where that is unambiguous."""
        if name in acts:
            return acts[name]
        own = {gid.split("/")[1] for gid in acts}
        fitting = [gid for gid in acts if gid.split("/")[1] == name]
        if len(fitting) == 1:
            return acts[fitting[0]]
        if fitting:
            self.problems.append(f"{name!r} is a {kind} of several procedures: write one of {', '.join(fitting)}")
        else:
            self._unknown(kind, name, acts if "/" in name else own)
        return None

    def _pair(self, text: str, option: str, example: str) -> tuple[str, str]:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            self.problems.append(f"{option} {text!r}: write it as {option} {example}")
            return "", ""
        return name.strip(), value.strip()

    def _unknown(self, kind: str, name: str, known: Iterable[str]) -> None:
        self.problems.append(f"there is no {kind} {name!r}: {offer(name, known)}")

    def _quantity(self, text: str, quantity: str, where: str) -> float | None:
        try:
            return parse_quantity(text, quantity).value_si
        except QuantityError as error:
            self.problems.append(f"{where}: {error}: {error.fix}")
            return None

    def _readings(self, check: Check, text: str) -> dict[str, tuple[float, Instrument]] | None:
        tolerances = self.knowledge.procedures[check.procedure].tolerances
        given: dict[str, str] = {}
        for one in text.split(","):
            name, colon, value = one.partition(":")
            name = name.strip() if colon else check.measure[0]
            if name in given:
                self.problems.append(f"{check.gid}: {name} is given twice: leave the one that holds")
                return None
            given[name] = (value if colon else one).strip()
        missing = [name for name in check.measure if name not in given]
        if missing or set(given) - set(check.measure):
            self.problems.append(f"{check.gid} needs {', '.join(check.measure)}: write "
                                 f"{','.join(f'{n}:VALUE@TOOL' for n in check.measure)}")
            return None
        found = {name: self._one_reading(tolerances[name], given[name], check) for name in check.measure}
        return None if any(value is None for value in found.values()) else found

    def _one_reading(self, tolerance: Tolerance, text: str, check: Check) -> tuple[float, Instrument] | None:
        value, _, name = text.partition("@")
        name = name.strip() or tolerance.tool
        tool = self.knowledge.tools.get(name)
        if name and tool is None:
            self._unknown("tool", name, self.knowledge.tools)
            return None
        if tool and tool.kind == "instrument" and tool.quantity != tolerance.quantity:
            self.problems.append(f"{check.gid}: {name} measures {tool.quantity}, not {tolerance.quantity}")
            return None
        amount = self._quantity(value.strip(), tolerance.quantity, check.gid)
        if amount is None:
            return None
        side = beyond(amount, instrument(tool))
        if side:
            self.problems.append(f"{check.gid}: {value.strip()} lies {side} what {name} can show ({_range(tool)}): "
                                 "read it with another instrument and name that after @, or give the answer with "
                                 "--found")
            return None
        return amount, instrument(tool)

    def _judge(self, check: Check, readings: dict[str, tuple[float, Instrument]]) -> None:
        tolerances = self.knowledge.procedures[check.procedure].tolerances
        limit = tolerances[check.limit if check.judge else check.measure[0]]
        band = self._band(limit)
        if band is None:
            return
        source = self.knowledge.sources.get(limit.source)
        options = {"safety": limit.safety, "source_kind": source.kind if source else None,
                   "conformity": self.knowledge.constants["conformity"].amount.si}
        if check.judge:
            function = judge_function(self.knowledge, check, self.plate)
            if isinstance(function, list):
                self.problems.append(f"{check.gid} needs the data-plate values {', '.join(function)}: "
                                     "give them with --plate")
                return
            judgement = judge_expression(function, readings, *band, **options)
        else:
            judgement = judge(*readings[check.measure[0]], *band, **options)
        self.judged[check.gid] = judgement
        self._result(check, {a: v for a, v in judgement.evidence().items() if a in check.answers})

    def _band(self, tolerance: Tolerance) -> tuple[float | None, float | None] | None:
        """The limits for this unit; nothing, and a sentence, while the plate leaves several open."""
        missing: set[str] = set()
        states = [(b, applies([t.as_json() for t in b.when], self.plate, missing)) for b in tolerance.bands]
        sure = [band for band, holds in states if holds]
        if len(sure) == 1:
            return _si(sure[0].low), _si(sure[0].high)
        self.problems.append(f"{tolerance.id}: its limits depend on {', '.join(sorted(missing)) or 'the unit'}: "
                             "say it with --unit or --plate, then the reading can be judged")
        return None


def _range(tool: Tool) -> str:
    """What an instrument can show, in words."""
    return " ".join(f"{word} {both(end.si, tool.quantity)}" for word, end in (("from", tool.low), ("to", tool.high))
                    if end)


def _si(amount: Amount | None) -> float | None:
    return amount.si if amount else None


def instrument(tool: Tool | None) -> Instrument:
    """The meter of a tool; without one the reading is taken as exact."""
    if tool is None:
        return Instrument()
    return Instrument(resolution=tool.resolution.si if tool.resolution else 0.0,
                      fixed=tool.fixed.si if tool.fixed else 0.0, percent=tool.percent, digits=tool.digits,
                      low=_si(tool.low), high=_si(tool.high))
