"""A pytest plugin that collects the tests once and then tries every change in a forked process of its own.

Forked after collecting, a process starts with all modules loaded and all unchanged files parsed, and what it
changes dies with it. The changed file stands in a copy of the knowledge, never in the checkout.
"""

from __future__ import annotations

import itertools
import json
import os
import select
import shutil
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from _pytest.runner import runtestprotocol
from sparkgap import knowledge as room

from .judge import has_no_effect, new_problem
from .numbers import Number, changed
from .reads import Read, noting
from .speed import remember_files

SECONDS = 60  # after which a process is given up
LEFT_OUT = ("browser", "site")  # marks of tests that are too slow to ask for each change


@dataclass(frozen=True)
class Mutant:
    """One number, multiplied."""

    number: Number
    factor: float


@dataclass
class Verdict:
    """What became of a mutant: check, test, no-effect, survived or error; and what noticed it."""

    mutant: Mutant
    by: str
    what: str = ""


@dataclass
class Copy:
    """A copy of kb/ and procedures/ in which one process at a time may change a file."""

    root: Path

    @classmethod
    def of(cls, root: Path, folder: Path) -> Copy:
        """Copy the knowledge below root into a folder."""
        for name in ("kb", "procedures"):
            shutil.copytree(root / name, folder / name)
        return cls(folder)


class Loader:
    """Stands in for ``sparkgap.knowledge.load``: the checkout becomes the copy, and is read once a process."""

    def __init__(self, checkout: Path) -> None:
        self.checkout, self.load = checkout.resolve(), room.load
        self.notes: set[Read] | None = None
        self.read: dict[Path, Any] = {}

    def __call__(self, root: Path | str, *, rules: bool = True) -> Any:
        root = Path(root).resolve()
        copy = os.environ.get("SPARKGAP_TEST_ROOT", "")
        if copy and root in (self.checkout, Path(copy).resolve()) and rules:
            root = Path(copy).resolve()
            if root not in self.read:
                self.read[root] = self.load(root)
            known = self.read[root]
            return known if self.notes is None else noting(known, self.notes)
        return self.load(root, rules=rules)


def in_fork(work: Callable[[], Any]) -> tuple[int, int]:
    """Start work in a forked process. Returns its id and where its result can be read as JSON."""
    reader, writer = os.pipe()
    sys.stdout.flush()
    child = os.fork()
    if child:
        os.close(writer)
        return child, reader
    try:
        os.close(reader)
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        result = json.dumps(work()).encode()
    except BaseException as error:  # the parent must hear of it whatever it was
        result = json.dumps({"by": "error", "what": f"{type(error).__name__}: {error}"}).encode()
    with os.fdopen(writer, "wb") as out:
        out.write(result)
    os._exit(0)


def collect(child: int, reader: int, seconds: float = SECONDS) -> Any:
    """The result of a forked process; one that takes too long is ended."""
    chunks, until = [], time.monotonic() + seconds
    while select.select([reader], [], [], max(0.0, until - time.monotonic()))[0]:
        chunk = os.read(reader, 65536)
        if not chunk:
            break
        chunks.append(chunk)
    else:
        os.kill(child, signal.SIGKILL)
    os.close(reader)
    os.waitpid(child, 0)
    text = b"".join(chunks)
    return json.loads(text) if text else {"by": "error", "what": f"no answer in {seconds:.0f} seconds"}


@dataclass
class Harness:
    """The plugin. ``verdicts`` and ``readers`` (test -> what it reads) are filled while pytest runs."""

    checkout: Path
    copies: list[Copy]
    mutants: list[Mutant]
    seconds: float
    verdicts: list[Verdict] = field(default_factory=list)
    readers: dict[str, set[Read]] = field(default_factory=dict)
    took: dict[str, float] = field(default_factory=dict)
    failing: list[str] = field(default_factory=list)
    say: Callable[[str], None] = print
    thorough: bool = False

    def __post_init__(self) -> None:
        remember_files()
        os.environ["SPARKGAP_TEST_ROOT"] = str(self.copies[0].root)
        self.loader = room.load = Loader(self.checkout)
        self.before = room.load(self.copies[0].root)

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep the tests that look at the shipped knowledge."""
        items[:] = [item for item in items if looks_at_knowledge(item, self.thorough)
                    and not any(item.get_closest_marker(mark) for mark in LEFT_OUT)]

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """In place of running the tests: learn what each reads, then try the mutants."""
        self.items = list(session.items)
        self._learn()
        self._try_all()
        return True

    def _learn(self) -> None:
        """What each test reads and how long it takes; those that fail before any change are left out."""
        waiting, running = list(self.items), []
        while waiting or running:
            while waiting and len(running) < len(self.copies):
                item = waiting.pop(0)
                running.append((item, *in_fork(lambda item=item: self._read_by(item))))
            item, child, reader = running.pop(0)
            got = collect(child, reader)
            if got.get("passed"):
                self.readers[item.nodeid] = {tuple(one) for one in got["reads"]}
                self.took[item.nodeid] = got["seconds"]
            else:
                self.failing.append(item.nodeid)
        self.items = sorted((item for item in self.items if item.nodeid in self.readers),
                            key=lambda item: self.took[item.nodeid])
        self.say(f"{len(self.items)} tests read the knowledge")

    def _read_by(self, item: pytest.Item) -> dict:
        forget_knowledge()
        self.loader.notes = set()
        begun = time.process_time()
        failed = _first_failure([item])
        return {"passed": not failed, "reads": sorted(self.loader.notes), "seconds": time.process_time() - begun}

    def _try_all(self) -> None:
        """Each mutant in a process, as many at a time as there are copies, until the time is over."""
        waiting, running = list(reversed(self.mutants)), []
        until = time.monotonic() + self.seconds
        free = list(self.copies)
        while running or (waiting and time.monotonic() < until):
            while free and waiting and time.monotonic() < until:
                mutant, copy = waiting.pop(), free.pop()
                running.append((mutant, copy, *self._start(mutant, copy)))
            mutant, copy, child, reader = running.pop(0)
            self.verdicts.append(Verdict(mutant, **collect(child, reader)))
            self._restore(mutant, copy)
            free.append(copy)
            if len(self.verdicts) % 100 == 0:
                self.say(f"{len(self.verdicts)} of {len(self.mutants)}")

    def _start(self, mutant: Mutant, copy: Copy) -> tuple[int, int]:
        file = copy.root / mutant.number.path
        text = file.read_text(encoding="utf-8")
        (copy.root / "kept").write_text(text, encoding="utf-8")
        file.write_text(changed(text, mutant.number, mutant.factor), encoding="utf-8")
        return in_fork(lambda: self._judge(mutant, copy))

    def _restore(self, mutant: Mutant, copy: Copy) -> None:
        os.replace(copy.root / "kept", copy.root / mutant.number.path)

    def _judge(self, mutant: Mutant, copy: Copy) -> dict[str, str]:
        forget_knowledge()
        self.loader.read.clear()
        os.environ["SPARKGAP_TEST_ROOT"] = str(copy.root)
        number, after = mutant.number, room.load(copy.root)
        problem = new_problem(self.before, after)
        if problem:
            return {"by": "check", "what": problem}
        mine = (number.path, number.entity)
        test = _first_failure([item for item in self.items if mine in self.readers[item.nodeid]])
        if test:
            return {"by": "test", "what": test}
        if has_no_effect(self.before, after, number):
            return {"by": "no-effect", "what": "no stated result depends on it"}
        return {"by": "survived"}


def looks_at_knowledge(item: pytest.Item, thorough: bool) -> bool:
    """Whether a test takes the fixture ``knowledge``; thoroughly, also whether its module uses tests/loaded.py.

    The latter test the program on whatever is shipped: hundreds, slow, and mostly without an eye for one number.
    """
    if "knowledge" in getattr(item, "fixturenames", ()):
        return True
    loaded = sys.modules.get("tests.loaded") if thorough else None
    return bool(loaded) and any(one is loaded or one is loaded.shipped for one in vars(item.module).values())


def forget_knowledge() -> None:
    """What tests/loaded.py read while tests were collected was the unchanged knowledge."""
    loaded = sys.modules.get("tests.loaded")
    if loaded:
        loaded.shipped.cache_clear()


def _first_failure(items: list[pytest.Item]) -> str:
    """The id of the first test that fails; the others are not run."""
    for item, after in itertools.zip_longest(items, items[1:]):
        if any(report.failed for report in runtestprotocol(item, nextitem=after, log=False)):
            return item.nodeid
    return ""
