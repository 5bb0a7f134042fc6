"""Reading kb/ and procedures/ into a :class:`Knowledge`, with every problem found on the way.

An entity whose document does not fit its schema is left out, its problems stay. Its id is remembered in
``broken``, or its kind in ``hidden``, so that what refers to it is not reported a second time.
"""

from __future__ import annotations

import fnmatch
import os
from pathlib import Path
from typing import Any

from ..problems import Problem, in_one_line
from . import convert_kb, convert_procedure
from .amounts import Converter
from .files import digest_of, digest_of_all, read_text, unreadable
from .model import Constant, Knowledge, PlateValue
from .schemas import validate
from .text import placements, split_front_matter
from .yaml_reader import Document, read_yaml

# The order matters: conditions need the plate, everything needs nothing that comes later.
_MAPPINGS = ("plate", "sources", "constants", "gates", "access", "tools", "parts", "emergencies", "refusals")
_OPTIONAL = ("refusals",)  # knowledge without this file is whole
_FOLDERS = {"tables": "table", "units": "unit", "calculators": "calculator", "symptoms": "symptom", "faults": "faults"}
_HOMES = f"the folders are {', '.join(f'kb/{folder}' for folder in _FOLDERS)}; names end in .yaml"


def read_knowledge(root: Path) -> Knowledge:
    """Read everything below root. Paths in problems are relative to root, with forward slashes."""
    reader = _Reader(Path(root))
    reader.run()
    return reader.knowledge


def _unusable(entity: object) -> bool:
    """Whether an expression could not use a constant or a data-plate value; the problem has been recorded."""
    if isinstance(entity, Constant):
        return entity.amount is None
    return isinstance(entity, PlateValue) and not (entity.values if entity.kind == "choice" else entity.quantity)


class _Reader:
    def __init__(self, root: Path) -> None:
        self.root = root
        self.knowledge = Knowledge(root=root)

    def run(self) -> None:
        self._overall()
        for name in _MAPPINGS:
            self._mapping(name)
        self._words()
        for folder, schema in _FOLDERS.items():
            for path in self._files(f"kb/{folder}", "*.yaml"):
                self._document(path, schema)
        for path in self._files("procedures", "*.md"):
            self._procedure(path)
        self._strays()
        self.knowledge.digest = digest_of_all(self.knowledge.files)
        self.knowledge.problems.sort()

    def _files(self, folder: str, pattern: str) -> list[Path]:
        """What a folder and those below hold by that pattern. A folder that cannot be listed is a problem."""
        found: list[Path] = []
        for where, folders, files in os.walk(self.root / folder, onerror=self._unlisted):
            here = Path(where)
            for name in folders:
                if (here / name).is_symlink():
                    self._stray(here / name, "a link to a folder is not followed", "put the files themselves here")
            found += [here / name for name in (*folders, *files) if fnmatch.fnmatchcase(name, pattern)]
        return sorted(found, key=lambda path: path.as_posix())

    def _unlisted(self, error: OSError) -> None:
        path = Path(error.filename)
        if isinstance(error, FileNotFoundError) or not os.path.lexists(path):
            return  # a folder that is not needed, or one whose parent is no folder
        wrong = "a file where a folder belongs" if isinstance(error, NotADirectoryError) else error.strerror
        self._once(unreadable(self._shown(path), wrong or "cannot be listed", "check name and permissions"))

    def _stray(self, path: Path, message: str, fix: str) -> None:
        self._once(Problem(self._shown(path), 1, 1, "file-stray", message, fix))

    def _once(self, problem: Problem) -> None:
        """Folders are looked at more than once."""
        if problem not in self.knowledge.problems:
            self.knowledge.problems.append(problem)

    def _shown(self, path: Path) -> str:
        """The path below root; what is no text in it is written out."""
        shown = path.relative_to(self.root).as_posix()
        return in_one_line(shown.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace"))

    def _strays(self) -> None:
        """YAML that stands where nothing reads it would be missed in silence."""
        known = {f"kb/{name}.yaml" for name in ("knowledge", "words", *_MAPPINGS)}
        for path in (*self._files("kb", "*.y*ml"), *self._files("procedures", "*.y*ml")):
            shown = self._shown(path)
            read = shown.endswith(".yaml") and (shown in known or shown.split("/")[1] in _FOLDERS)
            if not read or shown.startswith("procedures/"):
                self._stray(path, "nothing reads this file", _HOMES)

    def _text(self, path: Path, kind: str) -> tuple[str, str] | None:
        shown = self._shown(path)
        text = read_text(path, shown)
        if isinstance(text, Problem):
            self.knowledge.problems.append(text)
            self._drop(shown, kind)
            return None
        self.knowledge.files[shown] = digest_of(text)
        return text, shown

    def _valid(self, document: Document, schema: str) -> bool:
        """Whether the document fits its schema, its problems collected."""
        if document.data is not None:
            validate(document, schema)
        self.knowledge.problems.extend(document.problems)
        return not document.problems

    def _yaml(self, path: Path, schema: str) -> Document | None:
        got = self._text(path, schema)
        if got is None:
            return None
        document = read_yaml(*got)
        return document if self._valid(document, schema) else self._drop(document.path, schema, document.data)

    def _drop(self, shown: str, kind: str, data: Any = None) -> None:
        """Remember a file that is left out, and what it would have declared."""
        self.knowledge.dropped.add(shown)
        if kind not in (*_MAPPINGS, "words", "faults"):
            self.knowledge.broken.add(Path(shown).stem)
            return
        declared = data.get("faults") if kind == "faults" and isinstance(data, dict) else data
        if isinstance(declared, dict):
            self.knowledge.broken.update(declared)
        else:
            self.knowledge.hidden.add(kind)

    def _converted(self, document: Document) -> None:
        """Collect what conversion found; the reader's own problems left the document without any."""
        self.knowledge.problems.extend(document.problems)

    def _overall(self) -> None:
        document = self._yaml(self.root / "kb/knowledge.yaml", "knowledge")
        if document:
            self.knowledge.title, self.knowledge.demo = document.data["title"], document.data["demo"]

    def _words(self) -> None:
        """The owners' words; knowledge without them is whole."""
        path = self.root / "kb/words.yaml"
        document = self._yaml(path, "words") if os.path.lexists(path) else None
        if document:
            self.knowledge.words = convert_kb.words(self._converter(document), document.data)

    def _mapping(self, name: str) -> None:
        path = self.root / f"kb/{name}.yaml"
        if name in _OPTIONAL and not os.path.lexists(path):
            return
        document = self._yaml(path, name)
        if document is None:
            return
        convert = self._converter(document)
        target = getattr(self.knowledge, name)
        for key, raw in document.data.items():
            target[key] = convert_kb.MAPPINGS[name](convert, raw, key, (key,))
            if _unusable(target[key]):
                self.knowledge.broken.add(key)
                del target[key]
        self._converted(document)

    def _document(self, path: Path, schema: str) -> None:
        document = self._yaml(path, schema)
        if document is None:
            return
        convert = self._converter(document)
        if schema == "faults":
            self._folder(convert, document.data["system"], path.stem, "file")
            convert_kb.fault_page(convert, document.data, self.knowledge)
        else:
            entity = getattr(convert_kb, schema)(convert, document.data)
            self._named(convert, entity, path)
            convert_kb.put(getattr(self.knowledge, f"{schema}s"), convert, ("id",), entity)
        self._converted(document)

    def _named(self, convert: Converter, entity, path: Path) -> None:
        if entity.id != path.stem:
            convert.problem(("id",), "id-mismatch", f"the id {entity.id!r} differs from the file name {path.stem!r}",
                            f"id: {path.stem}")
        self._folder(convert, getattr(entity, "system", path.parent.name), path.parent.name, "folder")

    def _folder(self, convert: Converter, system: str, name: str, what: str) -> None:
        if system != name:
            convert.problem(("system",), "id-mismatch", f"the system {system!r} differs from the {what} {name!r}",
                            f"rename the {what} to {system}, or change the system")

    def _converter(self, document: Document) -> Converter:
        unseen = "plate" in self.knowledge.hidden
        return Converter(document, self.knowledge.plate, None if unseen else self.knowledge.broken)

    def _procedure(self, path: Path) -> None:
        got = self._text(path, "procedure")
        if got is None:
            return
        text, shown = got
        parts = split_front_matter(text, shown)
        if isinstance(parts, Problem):
            self.knowledge.problems.append(parts)
            self._drop(shown, "procedure")
            return
        matter, body, body_line = parts
        document = read_yaml(matter, shown, first_line=2)
        if not self._valid(document, "procedure"):
            self._drop(shown, "procedure")
            return
        convert = self._converter(document)
        procedure = convert_procedure.procedure(convert, document.data)
        procedure.body, procedure.body_line = body, body_line
        procedure.placements = placements(body, shown, body_line, document.problems)
        self._named(convert, procedure, path)
        convert_kb.put(self.knowledge.procedures, convert, ("id",), procedure)
        self._converted(document)
