"""Invented closed jobs, drawn from the model itself: ``python -m tests.jobs.demo_jobs FOLDER [--count N] [--seed N]``.

The true fault is drawn from stated weights, each answer from the likelihood table of the fault, while the demo
technician follows the guide. He works until the guide wants a repair, a stop, or a check that nobody passes with this
answer. Whatever helps is then found, the truth is written down, and his proofs never err: so the jobs' truths have the
stated shares, and predictions made with the same weights are right in the long run. Every job is marked demo.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from sparkgap.diagnosis.calculators import plate_calculators
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.plan import plan
from sparkgap.diagnosis.specialise import specialise
from sparkgap.jobs.file import write_job
from sparkgap.knowledge import Knowledge, load
from sparkgap.knowledge.gates import Job as Site

WHO = ["technician", "gas-qualified", "electrical-qualified"]
UNITS = ("demo-twelve-gas-electric", "demo-ten-gas-electric", "demo-six-gas")
SYMPTOMS = {"no-hot-water-flow": UNITS, "tank-hot-lukewarm-tap": UNITS, "water-smells": UNITS,
            "relief-valve-weeps": UNITS, "no-heat-on-electric": UNITS[:2]}
BEGIN = datetime(2026, 1, 5, 8)
TOLD = 0.15  # chance that an answer which an owner can give is only told
Weights = Mapping[str, Mapping[str, float]]


class DemoShop:
    """Draws jobs of some symptoms.

    ``stated`` maps a symptom to the weights of its faults, normal and other, from which the truth is drawn; the
    knowledge's own where it says nothing. ``look_ahead`` makes the guide quicker, and so does ``asked``, what a
    shop with the same guide has asked it already.
    """

    def __init__(self, knowledge: Knowledge, seed: int, stated: Weights | None = None, look_ahead: int = 2,
                 asked: dict[tuple, dict] | None = None) -> None:
        self.knowledge = knowledge
        self.random = random.Random(seed)
        self.stated = stated or {}
        self.look_ahead = look_ahead
        self.calculators = plate_calculators(knowledge)
        self._sized: dict[tuple[str, str], tuple[dict, dict]] = {}
        self.asked = {} if asked is None else asked

    def jobs(self, count: int, symptoms: Mapping[str, tuple[str, ...]] = SYMPTOMS) -> Iterator[dict[str, Any]]:
        """So many closed jobs, the symptoms in turn."""
        for number in range(count):
            symptom = list(symptoms)[number % len(symptoms)]
            yield self.job(number, symptom, self.random.choice(symptoms[symptom]))

    def job(self, number: int, symptom: str, unit: str) -> dict[str, Any]:
        """One closed job."""
        sm, true = self.sized(symptom, unit)
        truth = self.random.choices(list(true), list(true.values()))[0]
        work = _Work(self, sm, unit, BEGIN + timedelta(hours=7 * number))
        work.find(truth)
        fault = work.repair(truth)
        return {
            "format": "sparkgap-job", "version": 1, "id": f"demo-learn-{number:05d}", "opened": _time(work.began),
            "changed": _time(work.now), "closed": _time(work.now), "technician": "demo", "who": WHO,
            "unit": {"id": unit, "title": self.knowledge.units[unit].title, "plate": work.plate},
            "complaint": "invented for the demonstration", "symptom": symptom, "knowledge": self.knowledge.digest,
            "log": work.log, "minutes": {key: round(value, 1) for key, value in work.minutes.items()},
            "outcome": {"end": "normal" if truth == "normal" else "repaired", "fault": fault}}

    def sized(self, symptom: str, unit: str) -> tuple[dict, dict]:
        """The symptom on a unit as the guide takes it, and the shares from which the truth is drawn."""
        if (symptom, unit) not in self._sized:
            model, plate = compile_symptom(self.knowledge, symptom), self.knowledge.units[unit].plate
            model["constants"]["look_ahead"] = self.look_ahead
            sm = specialise(model, plate, self.calculators)
            stated = self.stated.get(symptom, {})
            shares = {name: stated.get(name, share) for name, share in model["weights"].items()}
            faults = [{**fault, "weight": stated.get(fault["id"], fault["weight"])} for fault in model["faults"]]
            true = specialise({**model, "weights": shares, "faults": faults}, plate, self.calculators)["prior"]
            self._sized[symptom, unit] = sm, true
        return self._sized[symptom, unit]

    def next(self, sm: Mapping, unit: str, evidence: dict) -> dict:
        """What the guide wants next; asked once for the same evidence."""
        found = tuple(sorted((gid, max(one["v"], key=one["v"].get), one["hearsay"])
                             for gid, one in evidence["results"].items()))
        key = (sm["symptom"], unit, found, *evidence["open"])
        if key not in self.asked:
            self.asked[key] = plan(sm, evidence)["next"][0]
        return self.asked[key]


class _Work:
    """The work on one unit: its log, its time and what stands open."""

    def __init__(self, shop: DemoShop, sm: dict, unit: str, began: datetime) -> None:
        self.shop, self.sm, self.unit, self.began, self.now = shop, sm, unit, began, began
        self.plate = dict(shop.knowledge.units[unit].plate)
        self.site = Site(shop.knowledge)
        self.log: list[dict[str, Any]] = []
        self.minutes = {"find": 0.0, "repair": 0.0, "prove": 0.0}
        self.checks = {check["id"]: check for check in sm["checks"]}

    def find(self, truth: str) -> None:
        """Answer what the guide asks, until it wants something else than a new check."""
        evidence = _evidence({}, self.site)
        while True:
            act = self.shop.next(self.sm, self.unit, evidence)
            if act["kind"] != "check" or act["again"]:
                return
            check = self.checks[act["id"]]
            told = bool(check["ask_owner"]) and check["tier"] == 0 and self.shop.random.random() < TOLD
            if not told:
                self._gates(self.shop.knowledge.checks[act["id"]])
            self._spend("find", act["cost"])
            answer = self._answer(check, truth, told)
            self._note("answer", id=act["id"], answer=answer, v={answer: 1.0}, **({"hearsay": True} if told else {}))
            evidence["results"][act["id"]] = {"v": {answer: 1.0}, "hearsay": told}
            evidence["open"] = sorted(self.site.open)

    def _answer(self, check: dict, truth: str, told: bool) -> str:
        """Drawn from the fault's row; an owner who is wrong says anything."""
        if told and self.shop.random.random() >= self.sm["constants"]["hearsay_reliability"]:
            return self.shop.random.choice(check["answers"])
        row = check["rows"].get(truth, check["rows"]["*"])
        return self.shop.random.choices(check["answers"], row)[0]

    def repair(self, truth: str) -> str | None:
        """First the repair that the guide wants, then, if that did not help, the one that does."""
        wanted = self.shop.next(self.sm, self.unit, self._evidence())
        able = [remedy["id"] for remedy in self.sm["remedies"] if truth in remedy["ends"]]
        if wanted["kind"] == "remedy" and wanted["id"] not in able and truth != "normal":
            self._remedy(wanted["id"], "failed")
        if not able:
            self._note("note", text="nothing was wrong" if truth == "normal" else "mended what is on no list")
            return None
        self._remedy(wanted["id"] if wanted["id"] in able else able[0], "done")
        return truth

    def _evidence(self) -> dict:
        results = {one["id"]: {"v": one["v"], "hearsay": one.get("hearsay", False)}
                   for one in self.log if one["kind"] == "answer"}
        return _evidence(results, self.site)

    def _remedy(self, gid: str, how: str) -> None:
        remedy = self.shop.knowledge.remedies[gid]
        sized = next(one for one in self.sm["remedies"] if one["id"] == gid)
        self._gates(remedy)
        self._spend("repair", sized["minutes"])
        self._gates(self.shop.knowledge.checks[remedy.proof], gid)
        self._spend("prove", sized["proof_minutes"])
        self._note(how, id=gid)

    def _gates(self, act: Any, remedy: str | None = None) -> None:
        """Pass the gates that an act still lacks, and do it."""
        for gate in self.site.lacking(act):
            self._note("gate", id=gate, **({"remedy": remedy} if remedy else {}))
            self.site.held.add(gate)
        self.site.do(act)

    def _spend(self, phase: str, minutes: float) -> None:
        self.minutes[phase] += minutes
        self.now += timedelta(minutes=minutes)

    def _note(self, kind: str, **entry: Any) -> None:
        self.log.append({"kind": kind, "at": _time(self.now), "by": "demo", **entry})


def _evidence(results: dict[str, Any], site: Site) -> dict[str, Any]:
    return {"results": results, "aside": [], "replaced": [], "failed": [], "open": sorted(site.open), "who": WHO}


def _time(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def write_demo_jobs(shop: DemoShop, folder: Path, count: int) -> None:
    """Write so many job files into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for job in shop.jobs(count):
        (folder / f"{job['id']}.job.json").write_bytes(write_job(job))


def main() -> None:
    """Write invented jobs, to try sparkgap learn --demo with."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    knowledge = load(Path(__file__).resolve().parents[2])
    write_demo_jobs(DemoShop(knowledge, options.seed), options.folder, options.count)
    print(f"wrote {options.count} invented jobs to {options.folder}")


if __name__ == "__main__":
    main()
