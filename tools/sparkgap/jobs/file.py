"""The job file: reading it with words for whatever is wrong, bringing an old one up to date, writing it.

The format is schema/job.schema.json. A file comes from anywhere, so nothing in it is trusted: it is read as data
within bounds of size, refused whole when it does not fit, and shown as text only.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..knowledge.schemas import validator

FORMAT = "sparkgap-job"
VERSION = 1
MAX_BYTES = 8 * 1024 * 1024
SHOWN = 20  # so many problems are told
Job = dict[str, Any]

# From each version the step to the next one. Version 1 is the first.
STEPS: dict[int, Callable[[Job], Job]] = {}


class JobRefused(Exception):
    """A job file that cannot be used; ``lines`` say where it is wrong and what to do."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


def read_job(path: Path) -> Job:
    """The job of a file, brought up to the present version. Raises JobRefused."""
    try:
        if path.is_file() and path.stat().st_size > MAX_BYTES:
            raise JobRefused(f"{path}: larger than {MAX_BYTES // 1024 // 1024} MB (a job file keeps small photos only)")
        data = path.read_bytes()
    except OSError as error:
        raise JobRefused(f"{path}: {error.strerror} (name a job file that can be read)") from None
    return parse_job(data, str(path))


def parse_job(data: bytes, name: str = "job file") -> Job:
    """The job that the bytes of a file describe; ``name`` is what messages call it. Raises JobRefused."""
    if len(data) > MAX_BYTES:
        raise JobRefused(f"{name}: larger than {MAX_BYTES // 1024 // 1024} MB (a job file keeps small photos only)")
    job = up_to_date(_document(data, name), name)
    lines = problems(job)
    if lines:
        more = [f"{name}: and {len(lines) - SHOWN} more"] if len(lines) > SHOWN else []
        raise JobRefused(*(f"{name}: {line}" for line in lines[:SHOWN]), *more)
    return job


def write_job(job: Job) -> bytes:
    """The bytes of a job file. Raises JobRefused when the job does not fit the format."""
    lines = problems(job)
    if lines:
        raise JobRefused(*lines[:SHOWN])
    return (json.dumps(job, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode("utf-8")


def up_to_date(job: Any, name: str = "job file") -> Job:
    """The job in the present version of the format. Raises JobRefused for what is no job file or a newer one."""
    if not isinstance(job, dict) or job.get("format") != FORMAT:
        raise JobRefused(f"{name}: not a job file (its format must be {FORMAT!r})")
    version = job.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise JobRefused(f"{name}: version: must be a whole number from 1 on")
    if version > VERSION:
        raise JobRefused(f"{name}: written in version {version} of the format, this program knows {VERSION} "
                         "(update the program, the file is untouched)")
    while version < VERSION:
        job = STEPS[version](job)
        version += 1
    return job


def problems(job: Job) -> list[str]:
    """What does not fit the format: where, what, and what belongs there."""
    lines = [_said(error) for error in sorted(validator("job").iter_errors(job), key=lambda e: list(map(str, e.path)))]
    if lines:
        return lines
    lines = []
    for number, entry in enumerate(job["log"]):
        if entry["kind"] == "answer":
            lines += _weights(f"log.{number}", entry)
    names = [photo["name"].casefold() for photo in job.get("photos", [])]
    double = sorted({name for name in names if names.count(name) > 1})
    return lines + [f"photos: two are named {name!r} (rename one)" for name in double]


def _weights(where: str, entry: dict[str, Any]) -> list[str]:
    total = 0.0
    for share in entry["v"].values():
        total += share
    if abs(total - 1.0) > 1e-6:
        return [f"{where}.v: the weights of the answers sum to {total:g} (they must sum to 1)"]
    if entry.get("answer") and entry["answer"] not in entry["v"]:
        return [f"{where}.answer: {entry['answer']!r} has no weight in v"]
    return []


def _said(error: Any) -> str:
    """An error of the schema in one sentence; of several forms of an entry the one that its kind names."""
    if error.context:
        kind = error.instance.get("kind") if isinstance(error.instance, dict) else None
        meant = [part for part in error.context
                 if not any(e.validator == "const" and list(e.relative_path) == ["kind"]
                            for e in error.context if e.relative_schema_path[0] == part.relative_schema_path[0])]
        if len({part.relative_schema_path[0] for part in meant}) == 1:
            return _said(meant[0])
        if kind is not None:
            return f"{_where(error)}: {_short(kind)} is no kind of entry"
    described = error.schema.get("description", "") if isinstance(error.schema, dict) else ""
    return f"{_where(error)}: {_short(error.message, 160)}" + (f" ({described})" if described else "")


def _where(error: Any) -> str:
    return ".".join(_short(part, 40) for part in error.absolute_path) or "the file"


def _short(value: Any, limit: int = 60) -> str:
    text = str(value)
    return text if len(text) <= limit else text[: limit - 1] + "…"


def _document(data: bytes, name: str) -> Any:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise JobRefused(f"{name}: not UTF-8 at byte {error.start} (export the job again)") from None
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_number,
                          parse_float=_number, parse_int=_whole)
    except json.JSONDecodeError as error:
        raise JobRefused(f"{name}:{error.lineno}:{error.colno}: {error.msg} (the file is cut off or no JSON)") from None
    except RecursionError:
        raise JobRefused(f"{name}: nested too deep for a job file") from None
    except ValueError as error:
        raise JobRefused(f"{name}: {_short(error, 160)}") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [key for key, _ in pairs]
        double = next(key for key in names if names.count(key) > 1)
        raise ValueError(f"the key {_short(double)!r} stands twice")
    return found


def _number(digits: str) -> float | int:
    """JSON has one kind of number: 640.0 is the whole number 640, as a browser reads it."""
    value = float(digits)
    if math.isinf(value):
        raise ValueError(f"{_short(digits)} is too large a number")
    return int(value) if value.is_integer() and abs(value) < 2**53 else value


def _whole(digits: str) -> int:
    value = int(digits)
    try:
        float(value)
    except OverflowError:
        raise ValueError(f"{_short(digits)} is too large a number") from None
    return value


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number of JSON")
