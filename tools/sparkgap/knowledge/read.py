"""Reading kb/ and procedures/ into a :class:`Knowledge`, with every problem found on the way.

An entity whose document does not fit its schema is left out, its problems stay. Its id is remembered in
``broken``, so that what refers to it is not reported a second time.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from ..problems import Problem
from . import convert_kb, convert_procedure
from .amounts import Converter
from .model import Knowledge
from .schemas import validate
from .text import placements, split_front_matter
from .yaml_reader import MAX_BYTES, Document, read_yaml

# The order matters: conditions need the plate, everything needs nothing that comes later.
_MAPPINGS = ("plate", "sources", "constants", "gates", "access", "tools", "parts", "emergencies")
_FOLDERS = {"tables": "table", "units": "unit", "calculators": "calculator", "symptoms": "symptom", "faults": "faults"}


def read_knowledge(root: Path) -> Knowledge:
    """Read everything below root. Paths in problems are relative to root, with forward slashes."""
    reader = _Reader(Path(root))
    reader.run()
    return reader.knowledge


def read_text(path: Path, shown: str) -> str | Problem:
    """The text of a file, or the problem that it cannot be read."""
    try:
        if path.stat().st_size > MAX_BYTES:
            return Problem(shown, 1, 1, "file-unreadable", f"larger than {MAX_BYTES:,} bytes", "split it")
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        return Problem(shown, 1, 1, "file-unreadable", f"not UTF-8 at byte {error.start}", "save it as UTF-8")
    except IsADirectoryError:
        return Problem(shown, 1, 1, "file-unreadable", "a directory where a file belongs", "rename or remove it")
    except OSError as error:
        return Problem(shown, 1, 1, "file-unreadable", error.strerror or "cannot be read", "check name and permissions")


class _Reader:
    def __init__(self, root: Path) -> None:
        self.root = root
        self.knowledge = Knowledge(root=root)
        self.hash = hashlib.sha256()

    def run(self) -> None:
        self._overall()
        for name in _MAPPINGS:
            self._mapping(name)
        for folder, schema in _FOLDERS.items():
            for path in self._files(f"kb/{folder}", "*.yaml"):
                self._document(path, schema)
        for path in self._files("procedures", "*.md"):
            self._procedure(path)
        self.knowledge.digest = self.hash.hexdigest()[:16]
        self.knowledge.problems.sort()

    def _files(self, folder: str, pattern: str) -> list[Path]:
        return sorted((self.root / folder).rglob(pattern), key=lambda path: path.as_posix())

    def _text(self, path: Path) -> tuple[str, str] | None:
        shown = path.relative_to(self.root).as_posix()
        text = read_text(path, shown)
        if isinstance(text, Problem):
            self.knowledge.problems.append(text)
            return None
        digest = hashlib.sha256(text.encode()).hexdigest()
        self.knowledge.files[shown] = digest
        self.hash.update(f"{shown} {digest}\n".encode())
        return text, shown

    def _valid(self, document: Document, schema: str) -> bool:
        """Whether the document fits its schema, its problems collected."""
        if document.data is not None:
            validate(document, schema)
        self.knowledge.problems.extend(document.problems)
        return not document.problems

    def _yaml(self, path: Path, schema: str) -> Document | None:
        got = self._text(path)
        if got is None:
            return None
        document = read_yaml(*got)
        return document if self._valid(document, schema) else self._broken(document)

    def _broken(self, document: Document) -> None:
        self.knowledge.broken.add(Path(document.path).stem)
        if isinstance(document.data, dict):
            self.knowledge.broken.update(map(str, document.data))
            faults = document.data.get("faults")
            self.knowledge.broken.update(map(str, faults) if isinstance(faults, dict) else ())

    def _converted(self, document: Document) -> None:
        """Collect what conversion found; the reader's own problems left the document without any."""
        self.knowledge.problems.extend(document.problems)

    def _overall(self) -> None:
        document = self._yaml(self.root / "kb/knowledge.yaml", "knowledge")
        if document:
            self.knowledge.title, self.knowledge.demo = document.data["title"], document.data["demo"]

    def _mapping(self, name: str) -> None:
        document = self._yaml(self.root / f"kb/{name}.yaml", name)
        if document is None:
            return
        convert = Converter(document, self.knowledge.plate)
        target = getattr(self.knowledge, name)
        for key, raw in document.data.items():
            target[key] = convert_kb.MAPPINGS[name](convert, raw, key, (key,))
        self._converted(document)

    def _document(self, path: Path, schema: str) -> None:
        document = self._yaml(path, schema)
        if document is None:
            return
        convert = Converter(document, self.knowledge.plate)
        if schema == "faults":
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
        system = getattr(entity, "system", path.parent.name)
        if system != path.parent.name:
            convert.problem(("system",), "id-mismatch", f"the system {system!r} differs from the folder "
                            f"{path.parent.name!r}", f"move the file to {system}/ or change the system")

    def _procedure(self, path: Path) -> None:
        got = self._text(path)
        if got is None:
            return
        text, shown = got
        parts = split_front_matter(text, shown)
        if isinstance(parts, Problem):
            self.knowledge.problems.append(parts)
            self.knowledge.broken.add(path.stem)
            return
        matter, body, body_line = parts
        document = read_yaml(matter, shown, first_line=2)
        if not self._valid(document, "procedure") or document.data is None:
            self._broken(document)
            return
        convert = Converter(document, self.knowledge.plate)
        procedure = convert_procedure.procedure(convert, document.data)
        procedure.body, procedure.body_line = body, body_line
        procedure.placements = placements(body, shown, body_line)
        self._named(convert, procedure, path)
        convert_kb.put(self.knowledge.procedures, convert, ("id",), procedure)
        self._converted(document)
