"""Sound knowledge kept in one file, so that a change of prose does not cost reading and checking everything anew.

What rules and pages depend on is what the files *mean*: the text of those in kb/, of a procedure its front matter and
what its text places, in order. As long as that is the same, and the program is, the knowledge is the same but for the
prose, and as sound as it was. Whatever else is found (another file, a file that cannot be read, a snapshot that is
damaged or of another program) means that there is no snapshot: the knowledge is then read as if there had been none.

The file is a line of JSON, which says what the rest rests on, and a pickle. Only classes that hold the knowledge's
data are made from it, so that a file of somebody else's could not run code. Only knowledge without problems is
kept, and without the places inside its entities: nothing reports problems of sound knowledge.
"""

from __future__ import annotations

import contextlib
import dataclasses
import fnmatch
import gc
import hashlib
import io
import json
import os
import pickle
import sys
from collections import defaultdict
from functools import cache
from importlib import import_module, metadata
from pathlib import Path
from typing import Any

from ..problems import Problem
from . import acts, calculations, entities, model
from .acts import Placement
from .entities import Entity
from .files import digest_of, digest_of_all, read_text
from .model import COMPILED, Knowledge
from .text import placements, split_front_matter
from .yaml_reader import Plain

PACKAGE = Path(__file__).resolve().parents[1]
SCHEMAS = PACKAGE.parents[1] / "schema"
_HOMES = frozenset({module.__name__ for module in (acts, calculations, entities, model)} | {Problem.__module__})
_PLAIN = {("collections", "defaultdict"): defaultdict, ("builtins", "list"): list, ("builtins", "set"): set,
          ("builtins", "str"): str}


def save(file: Path, knowledge: Knowledge, more: dict[str, Any]) -> None:
    """Keep sound knowledge, and more plain data that follows from it. That it cannot be written changes nothing."""
    files = {}
    for shown, digest in knowledge.files.items():
        path = Path(knowledge.root) / shown
        before = _digest_of_bytes(path)
        found = _prose(shown, read_text(path, shown))
        if found is None or found[0] != digest or _digest_of_bytes(path) != before:
            return  # changed since it was read
        files[shown] = (before, found[1])
    if knowledge.problems:
        return
    stream = io.BytesIO()
    _Pickler(stream, protocol=5).dump((knowledge, more))
    body = stream.getvalue()
    head = {"program": program(), "body": hashlib.sha256(body).hexdigest(), "files": files}
    beside = file.with_name(f"{file.name}.{os.getpid()}")
    with contextlib.suppress(OSError):
        beside.write_bytes(json.dumps(head).encode() + b"\n" + body)
        os.replace(beside, file)
    with contextlib.suppress(OSError):
        beside.unlink(missing_ok=True)


def load(file: Path, root: Path) -> tuple[Knowledge, dict[str, Any]] | None:
    """The knowledge below root and what was kept with it, or None where it has to be read."""
    try:
        head, _, body = file.read_bytes().partition(b"\n")
        said = json.loads(head)
        if said["program"] != program() or said["body"] != hashlib.sha256(body).hexdigest():
            return None
        changed = _changed(root, said["files"])
        if changed is None:
            return None
        knowledge, more = _unpickled(body)
        _renew(knowledge, root, changed)
    except Exception:  # whatever a damaged file leads to: reading anew is always right
        return None
    return knowledge, more


@cache
def program() -> str:
    """What made a snapshot: this program and its schemas, to the letter, with what they rest on."""
    found = hashlib.sha256(f"{sys.version} {metadata.version('pyyaml')} {metadata.version('jsonschema')}".encode())
    for folder, pattern in ((PACKAGE, "*.py"), (SCHEMAS, "*.json")):
        for path in sorted(folder.rglob(pattern)):
            found.update(f"\n{path.relative_to(folder.parent).as_posix()}\n".encode() + path.read_bytes())
    return found.hexdigest()


def _listed(root: Path) -> dict[str, Path] | None:
    """The files that reading would look at; None where it would find something wrong with them."""
    found: dict[str, Path] = {}
    for top, patterns in (("kb", ("*.y*ml",)), ("procedures", ("*.y*ml", "*.md"))):
        for where, folders, files in os.walk(root / top, onerror=_raise):
            for name in folders:
                if os.path.islink(os.path.join(where, name)) or any(fnmatch.fnmatchcase(name, p) for p in patterns):
                    return None
            for name in files:
                if any(fnmatch.fnmatchcase(name, pattern) for pattern in patterns):
                    path = Path(where, name)
                    found[path.relative_to(root).as_posix()] = path
    return found


def _digest_of_bytes(path: Path) -> str:
    """The digest of a file as it lies there; nothing where that is no file that could be read to its end."""
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def _raise(error: OSError) -> None:
    raise error


Prose = tuple[str, str, str, int, list[Placement]]


def _prose(shown: str, text: str | Problem) -> Prose | None:
    """Digests of a file's text and of what it means; a procedure's body, its first line and what it places."""
    if isinstance(text, Problem):
        return None
    digest = digest_of(text)
    if not shown.startswith("procedures/"):
        return digest, digest, "", 0, []
    parts = split_front_matter(text, shown)
    if isinstance(parts, Problem):
        return None
    matter, body, line = parts
    problems: list[Problem] = []
    found = placements(body, shown, line, problems)
    if problems:
        return None
    meaning = digest_of(json.dumps([matter, [(one.kind, one.target) for one in found]]))
    return digest, meaning, body, line, found


def _changed(root: Path, files: dict[str, list[str]]) -> dict[str, Prose] | None:
    """The procedures whose text alone has changed, or None where more has."""
    listed = _listed(root)
    if listed is None or set(listed) != set(files):
        return None
    changed: dict[str, Prose] = {}
    for shown, (digest, meaning) in files.items():
        if _digest_of_bytes(listed[shown]) == digest:
            continue
        found = _prose(shown, read_text(listed[shown], shown))
        if found is None or found[1] != meaning:
            return None
        changed[shown] = found
    return changed


def _renew(knowledge: Knowledge, root: Path, changed: dict[str, Prose]) -> None:
    """Put the prose as it is now into the knowledge."""
    knowledge.root = root
    for shown, (digest, _, body, line, found) in changed.items():
        procedure = knowledge.procedures[Path(shown).stem]
        procedure.body, procedure.body_line, procedure.placements = body, line, found
        knowledge.files[shown] = digest
    knowledge.digest = digest_of_all(knowledge.files)


def _unpickled(body: bytes) -> tuple[Knowledge, dict[str, Any]]:
    """What was kept. Nothing of it is garbage, and looking for some among so many objects takes most of the time."""
    collects = gc.isenabled()
    gc.disable()
    try:
        return _Unpickler(io.BytesIO(body)).load()
    finally:
        if collects:
            gc.enable()


class _Pickler(pickle.Pickler):
    """Leaves out the places inside entities, where the knowledge lies, and what was compiled from it."""

    def reducer_override(self, value: Any) -> Any:
        """How one object is kept."""
        if type(value) is Plain:  # whether it stood in quotes has been looked at
            return str, (value + "",)
        if not isinstance(value, Entity | Knowledge):
            return NotImplemented
        make, arguments, state, *rest = value.__reduce_ex__(5)
        kept = {key: held for key, held in state.items() if key not in COMPILED}
        return make, arguments, {**kept, **({"places": {}} if isinstance(value, Entity) else {"root": None})}, *rest


class _Unpickler(pickle.Unpickler):
    """Makes plain data and the data classes of the knowledge, nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        """A class that the knowledge consists of. Raises UnpicklingError for any other."""
        if (module, name) in _PLAIN:
            return _PLAIN[module, name]
        found = getattr(import_module(module), name) if module in _HOMES else None
        if not (isinstance(found, type) and dataclasses.is_dataclass(found)):
            raise pickle.UnpicklingError(f"{module}.{name} is no part of the knowledge")
        return found
