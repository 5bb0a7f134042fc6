"""sparkgap guide: what is likely, what to do next and why."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ..diagnosis.calculators import plate_calculators
from ..diagnosis.compile import compile_symptom
from ..diagnosis.evidence import EvidenceReader
from ..diagnosis.guide import guide
from ..diagnosis.outlook import outlook
from ..diagnosis.reasons import SAME, instead, percent, reason
from ..diagnosis.specialise import specialise
from ..diagnosis.truck import stay, truck
from ..jobs.begin import begin_job
from ..jobs.file import write_job
from ..knowledge import Knowledge
from ..knowledge.conditions import holds
from .common import Refused, known, print_json, sound_knowledge

_STOPS = {"call": "Stop here and call for help, or leave it shut off",
          "normal": "Hand it back: it does what it should"}
SHOWN = 6  # so many causes and acts are printed; --json has all


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("symptom", metavar="SYMPTOM", help="a symptom's id; sparkgap intake finds it from words")
    shape = parser.add_mutually_exclusive_group()
    shape.add_argument("--json", action="store_true", help="the result as schema/guide.schema.json describes it")
    shape.add_argument("--truck", action="store_true", help="what to load for this unit, to be read or sent as text")
    parser.add_argument("--save", type=Path, metavar="FILE.job.json",
                        help="begin a job file with what is given here; a file that is there already is kept")
    evidence_arguments(parser)


def evidence_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments that say what is known of a job."""
    parser.add_argument("--unit", metavar="ID", help="a shipped unit, for its data plate")
    parser.add_argument("--plate", nargs="+", action="extend", default=[], metavar="NAME=VALUE",
                        help="data-plate values")
    parser.add_argument("--found", nargs="+", action="extend", default=[], metavar="CHECK=ANSWER",
                        help="answers of checks; ~ANSWER for one that was told to you")
    parser.add_argument("--reading", nargs="+", action="extend", default=[], metavar="CHECK=VALUE@TOOL",
                        help="readings, each with the instrument")
    parser.add_argument("--aside", nargs="+", action="extend", default=[], metavar="CHECK",
                        help="checks that cannot be done")
    parser.add_argument("--open", nargs="+", action="extend", default=[], metavar="ACCESS",
                        help="accesses that stand open, so that opening them costs nothing more")
    parser.add_argument("--replaced", nargs="+", action="extend", default=[], metavar="PART[=WHEN]",
                        help="parts fitted already: for-this complaint (as it stands), before, or unknown")
    parser.add_argument("--failed", nargs="+", action="extend", default=[], metavar="REMEDY",
                        help="remedies carried out whose proof failed")
    parser.add_argument("--who", nargs="+", action="extend", default=[], metavar="WHO",
                        help="owner, technician, gas-qualified, electrical-qualified")


def run(options: argparse.Namespace) -> int:
    """Print the belief and the next acts."""
    knowledge = sound_knowledge(options.root)
    symptom = known("symptom", options.symptom, knowledge.symptoms)
    reader = read_evidence(knowledge, options)
    if holds(symptom.applies_to, reader.plate) is False:
        wanted = ", ".join(sorted({term.name for term in symptom.applies_to}))
        raise Refused(f"{symptom.title!r} does not happen on this unit", f"check {wanted} on its data plate")
    if options.save:
        _save(knowledge, options, reader)
    model = compile_symptom(knowledge, options.symptom)
    calculators = plate_calculators(knowledge)
    result = guide(model, reader.plate, reader.evidence, calculators)
    narrowed = specialise(model, reader.plate, calculators)
    result["outlook"] = outlook(narrowed, reader.evidence)
    result["judged"] = {name: one.as_json() for name, one in sorted(reader.judged.items())}
    acts = {act["id"]: act for act in (*narrowed["checks"], *narrowed["remedies"])}
    words = _words(knowledge, model)
    for one in result["next"]:
        one["why"] = reason(one, acts, result, words)
    if options.json:
        print_json(result)
    elif options.truck:
        print("\n".join(truck(model["title"], result, result["outlook"], words)))
    else:
        _print(result, model["title"], acts, words)
    return 0


def _words(knowledge: Knowledge, model: dict[str, Any]) -> dict[str, dict[str, str]]:
    """Titles by id, as the sentences and the truck list say them."""
    return {
        "faults": {fault["id"]: fault["title"] for fault in model["faults"]}
        | {"normal": "Nothing is wrong: normal", "other": "Something not listed here"},
        "access": {name: one["title"] for name, one in model["access"].items()},
        **{kind: {name: one.title for name, one in getattr(knowledge, kind).items()}
           for kind in ("tools", "parts", "plate")},
    }


def _save(knowledge: Knowledge, options: argparse.Namespace, reader: EvidenceReader) -> None:
    title = knowledge.units[options.unit].title if options.unit else ""
    job = begin_job(options.symptom, (options.unit, title), reader.plate, reader.evidence, reader.judged,
                    knowledge.digest)
    try:
        with options.save.open("xb") as file:
            file.write(write_job(job))
    except FileExistsError:
        raise Refused(f"{options.save}: there is such a file already", "name another, a job is never overwritten") \
            from None
    except OSError as error:
        raise Refused(f"{options.save}: {error.strerror}", "name a place that can be written") from None


def read_evidence(knowledge: Knowledge, options: argparse.Namespace) -> EvidenceReader:
    """The evidence of the command line; refused with all that is wrong with it."""
    reader = EvidenceReader(knowledge)
    if options.unit:
        reader.unit(options.unit)
    for text in options.plate:
        reader.plate_value(text)
    reader.who(options.who)
    reader.aside(options.aside)
    reader.open(options.open)
    for method, texts in ((reader.found, options.found), (reader.reading, options.reading),
                          (reader.replaced, options.replaced), (reader.failed, options.failed)):
        for text in texts:
            method(text)
    if reader.problems:
        raise Refused(*reader.problems)
    return reader


def _print(result: dict[str, Any], title: str, acts: dict[str, Any], words: dict[str, dict[str, str]]) -> None:
    titles, best = words["faults"], result["next"][0]
    print(title)
    print("\nCauses")
    for name, share in sorted(result["belief"].items(), key=lambda item: (-item[1], item[0]))[:SHOWN]:
        print(f"  {100 * share:5.1f} %  {titles[name]}")
    for name, one in result["judged"].items():
        print(f"\nReading {name}: {one['verdict'].replace('too-close', 'too close to call with this tool')} "
              f"(within: {100 * one['v_within']:.1f} %)")
    if result["conflict"]:
        print(f"\nThe findings contradict each other; least fitting: {result['conflict']['gid']}")
    if result["two"]:
        print(f"\nTwo faults are likelier than one: {' and '.join(titles[name] for name in result['two']['pair'])}")
    print(_minutes(result["outlook"]))
    print("\nNext")
    for number, one in enumerate(result["next"][:SHOWN], 1):
        print(f"  {number}. {_title(one, acts.get(one['id']))}\n     {one['why']}{_dearer(one, best, acts, words)}")
    if result["missing"]:
        first = result["outlook"]["ask_first"]
        rest = [name for name in result["missing"] if name != first]
        print(f"\nThe data plate would say more: {', '.join([first, *rest])}")
    for one in result.get("needs_qualified", [])[:3]:
        print(f"For someone {' and '.join(one['needs'])}: {one['id']}")


def _dearer(one: dict[str, Any], best: dict[str, Any], acts: dict[str, Any], words: dict[str, dict[str, str]]) -> str:
    """What another act than the first costs more, and why."""
    told = instead(one, best, acts, words)
    if one is best or told["more"] <= SAME:
        return ""
    return f" (+ {told['more']:.0f} min{': ' if told['why'] else ''}{'; '.join(told['why'])})"


def _minutes(told: dict[str, Any]) -> str:
    if told["minutes"] is None:
        return "\nNo way to a proved repair is seen from here."
    return (f"\nAt the unit to a proved repair: {stay(told)}, in eight jobs of ten, if it is one of the causes listed "
            f"({percent(told['share'])}).")


def _title(one: dict[str, Any], act: dict[str, Any] | None) -> str:
    if act is None:
        return _STOPS[one["kind"]]
    return f"{act.get('ask') or act['title']}  [{one['id']}]"
