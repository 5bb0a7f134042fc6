"""sparkgap learn: fault weights from closed jobs, as a reviewable change of kb/."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from ..jobs.file import Job, JobRefused, read_job
from ..jobs.learn import Lesson, as_json, gains, learn, scores
from ..jobs.learn_edit import INVENTED, SHOP, Learned, diff, edits
from ..jobs.learn_score import calibration
from ..jobs.learn_weights import LEVEL
from ..knowledge import Knowledge
from ..knowledge.edit import EditError, write_files
from ..problems import in_one_line
from .common import Refused, print_json, sound_knowledge

SHOWN = 20  # so many jobs that do not count are listed; --json has all
_NAMES = {"normal": "nothing was wrong", "other": "something that is not listed"}


def arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("jobs", nargs="+", type=Path, metavar="JOBFILE",
                        help="job files of every closed job, or folders with them (*.job.json)")
    parser.add_argument("--write", action="store_true",
                        help="change kb/; without it the change is printed as a diff, and the report on standard error")
    parser.add_argument("--json", action="store_true", help="the result as schema/learn.schema.json describes it")
    parser.add_argument("--demo", action="store_true", help="count invented jobs, marked demo, and no others")


def run(options: argparse.Namespace) -> int:
    """Learn, and print or write the change. A job file that cannot be used refuses all."""
    jobs = _read(options.jobs)
    knowledge = sound_knowledge(options.root)
    lesson = learn(knowledge, jobs, options.demo)
    changes = _changes(knowledge, lesson, options.demo)
    if options.write:
        _write(knowledge, changes)
    if options.json:
        print_json({**as_json(lesson), "written": options.write, "files": list(changes), "diff": diff(changes)})
        return 0
    said = "\n".join(_report(knowledge, lesson))
    if options.write:
        print(said)
        print("\n".join(["", *(f"wrote {path}" for path in changes)]) if changes else "\nNothing to change.")
        return 0
    print(said, file=sys.stderr)
    print(diff(changes), end="")
    return 0


def _read(paths: list[Path]) -> list[tuple[str, Job]]:
    """Every job of these files and folders; refused with all that is wrong with any of them."""
    jobs, lines = [], []
    for path in _files(paths, lines):
        try:
            jobs.append((in_one_line(str(path)), read_job(path)))
        except JobRefused as refused:
            lines += refused.lines
    if lines:
        raise Refused(*map(in_one_line, lines), "nothing was counted: mend or leave out these files")
    return jobs


def _files(paths: list[Path], lines: list[str]) -> list[Path]:
    """The files, each once; a folder stands for the job files in it."""
    files: list[Path] = []
    for path in paths:
        inside = sorted(path.glob("*.job.json")) if path.is_dir() else [path]
        if not inside:
            lines.append(f"{path}: no job file is in this folder (their names end in .job.json)")
        files += inside
    return list(dict.fromkeys(files))


def _changes(knowledge: Knowledge, lesson: Lesson, demo: bool) -> dict[str, tuple[str, str]]:
    try:
        return edits(knowledge, lesson.learned, INVENTED if demo else SHOP)
    except EditError as error:
        raise Refused(str(error), "nothing was changed") from None
    except OSError as error:
        raise Refused(f"{error.filename}: {error.strerror}", "nothing was changed") from None


def _write(knowledge: Knowledge, changes: dict[str, tuple[str, str]]) -> None:
    try:
        write_files({Path(knowledge.root) / path: after for path, (_, after) in changes.items()})
    except OSError as error:
        raise Refused(f"{error.filename}: {error.strerror}", "nothing was changed") from None


def _report(knowledge: Knowledge, lesson: Lesson) -> list[str]:
    counted = len(lesson.sorted.cases)
    lines = [f"{_count(lesson.files, 'file')} read, {_count(counted, 'job')} counted.",
             "Only jobs count that were repaired and proved, or ended otherwise with a check that was seen."]
    lines += _listed("Left out", lesson.sorted.left_out) + _listed("Given twice", lesson.sorted.again)
    for one in lesson.learned:
        lines += ["", *_symptom(knowledge, one)]
    if lesson.predicted:
        lines += ["", *_predictions(lesson)]
    return lines


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _listed(title: str, found: list) -> list[str]:
    lines = [f"{title}: {len(found)}"] if found else []
    lines += [f"  {one.id} ({one.file}): {one.why}" for one in found[:SHOWN]]
    return lines + ([f"  … and {len(found) - SHOWN} more"] if len(found) > SHOWN else [])


def _symptom(knowledge: Knowledge, one: Learned) -> list[str]:
    first, last = one.days
    lines = [f"{one.prior.model['title']}: {_count(len(one.cases), 'job')}, closed from {first} to {last}; judgement "
             f"counts like {one.prior.jobs:g}",
             f"  jobs  judged ({100 * LEVEL:.0f} % interval)  learned ({100 * LEVEL:.0f} % interval)  weight"]
    for row in one.rows:
        weights = f"{row.weight:g} to {row.learned:g}"
        lines.append(f"  {row.jobs:4d}  {_share(row.before)}    {_share(row.after)}    {weights:16} "
                     f"{_name(knowledge, row.key)}")
    return lines


def _share(told: tuple[float, float, float]) -> str:
    share, low, high = (100 * value for value in told)
    return f"{share:4.1f} % ({low:4.1f}–{high:4.1f})"


def _name(knowledge: Knowledge, key: tuple[str, str]) -> str:
    kind, name = key
    if kind == "share":
        return f"{name}: {_NAMES[name]}"
    return f"{name}: {knowledge.faults[name].title}" if kind == "fault" else \
        f"{name}: the faults of “{knowledge.symptoms[name].title}”"


def _predictions(lesson: Lesson) -> list[str]:
    told, gained = scores(lesson.predicted), gains(lesson.predicted)
    names = {"prior": "judged weights alone", "guide": "the guide with judged weights, before the first repair",
             "learned": "the same with learned weights, each job left out of its own"}
    lines = [f"How the predictions held, {_count(len(lesson.predicted), 'job')}",
             "  mean log  as good as  Brier"]
    for name, words in names.items():
        one = told[name]
        lines.append(f"  {one.log:8.3f}  {100 * math.exp(one.log):8.1f} %  {one.brier:.3f}  {words}")
    for name, words in (("guide", "the findings gained"), ("learned", "learned weights gained")):
        mean, error = gained[name]
        lines.append(f"  {words} {mean:+.3f}" + ("" if error is None else f" ± {error:.3f}") + " a job")
    lines += ["", "Predicted and come true (expected: in 95 of 100 such sets, if the predictions are right)",
              "  predicted      how many   mean  true  expected"]
    for one in calibration(lesson.predicted):
        low, high = one.expected
        mark = "" if low <= one.true <= high else "  outside"
        lines.append(f"  {100 * one.low:3.0f} to {100 * one.high:3.0f} %  {one.count:9d}  {100 * one.mean:5.1f}  "
                     f"{one.true:4d}  {low} to {high}{mark}")
    return lines
