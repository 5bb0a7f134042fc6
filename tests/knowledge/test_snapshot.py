"""A snapshot gives the knowledge that reading would give, or nothing: never older, other or damaged knowledge."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import multiprocessing
import os
import pickle
import shutil
from pathlib import Path

import pytest
from sparkgap.knowledge import Knowledge, load, snapshot

from tests.broken.overlay import NAMED, break_file
from tests.loaded import BASE, base, shipped

PROCEDURE = "procedures/fresh-water/pump-checks.md"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A copy of the base, to be changed."""
    return shutil.copytree(BASE, tmp_path / "knowledge")


@pytest.fixture
def kept(root: Path, tmp_path: Path) -> Path:
    """A snapshot of the copy."""
    file = tmp_path / "kept"
    snapshot.save(file, dataclasses.replace(base(), root=root), {"more": {"a": ["b"]}})
    return file


def plain(value: object) -> object:
    """Everything that a value says, but where the knowledge lies and the places inside entities."""
    if dataclasses.is_dataclass(value):
        return [(f.name, plain(getattr(value, f.name))) for f in dataclasses.fields(value)
                if f.name not in ("root", "places")]
    if isinstance(value, dict):
        return [(str(key), plain(item)) for key, item in value.items()]
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return str(value) if isinstance(value, str) else value


def change(root: Path, file: str, old: str, new: str) -> None:
    path = root / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def recalled(kept: Path, root: Path) -> Knowledge:
    found = snapshot.load(kept, root)
    assert found is not None and found[1] == {"more": {"a": ["b"]}}
    assert found[0].root == root
    return found[0]


def test_it_gives_what_was_read(kept, root):
    assert plain(recalled(kept, root)) == plain(load(root))


def test_the_shipped_knowledge_comes_back_in_its_order(tmp_path):
    knowledge = shipped()
    snapshot.save(tmp_path / "kept", knowledge, {})
    found, more = snapshot.load(tmp_path / "kept", knowledge.root)
    assert plain(found) == plain(knowledge) and more == {}
    assert list(found.checks) == list(knowledge.checks) and list(found.remedies) == list(knowledge.remedies)
    assert list(found.programs) == list(knowledge.programs)


def test_changed_prose_is_taken_up_with_its_lines(kept, root):
    before = load(root)
    change(root, PROCEDURE, "\n```{", "\nA sentence.\n\nAnd one more.\n\n```{")
    now = load(root)
    assert plain(recalled(kept, root)) == plain(now)
    assert now.digest != before.digest
    assert now.procedures["pump-checks"].placements != before.procedures["pump-checks"].placements


def test_a_file_that_was_only_touched_is_no_change(kept, root):
    for path in root.rglob("*.*"):
        os.utime(path, (1, 1))
    assert plain(recalled(kept, root)) == plain(load(root))


@pytest.mark.parametrize("name", NAMED)
def test_no_broken_file_is_hidden_by_an_earlier_snapshot(name, kept, root):
    break_file(root, NAMED[name])
    assert snapshot.load(kept, root) is None
    kept.unlink()
    knowledge = load(root)
    assert knowledge.problems
    snapshot.save(kept, knowledge, {})
    assert not kept.exists()


def _gone(root: Path) -> None:
    (root / PROCEDURE).unlink()


def _linked(root: Path) -> None:
    (root / "kb/units/more").symlink_to(root / "kb/tables")


def _folder(root: Path) -> None:
    (root / "procedures/fresh-water/more.md").mkdir()


def _pipe(root: Path) -> None:
    (root / PROCEDURE).unlink()
    os.mkfifo(root / PROCEDURE)


@pytest.mark.parametrize("alter", [
    lambda root: change(root, PROCEDURE, "revision: 3", "revision: 4"),
    lambda root: change(root, PROCEDURE, "\n```{", "\n```{gate} another\n```\n\n```{"),
    lambda root: change(root, PROCEDURE, "\n```{", "\n```{raw} html\n```\n\n```{"),
    lambda root: change(root, "kb/gates.yaml", "\n", "\n\n"),
    lambda root: (root / "kb/stray.yml").write_text("a: 1\n", "utf-8"),
    lambda root: (root / "procedures/fresh-water/more.md").write_text("x\n", "utf-8"),
    lambda root: (root / PROCEDURE).write_bytes(b"\xff"),
    lambda root: shutil.rmtree(root / "procedures"), _gone, _linked, _folder, _pipe,
])
def test_what_means_something_else_is_read_anew(alter, kept, root):
    alter(root)
    assert snapshot.load(kept, root) is None


def test_a_snapshot_of_another_program_is_not_used(kept, root, monkeypatch):
    monkeypatch.setattr(snapshot, "program", lambda: "another")
    assert snapshot.load(kept, root) is None


def test_the_program_is_known_by_its_text_and_its_schemas(tmp_path, monkeypatch):
    now = snapshot.program()
    for name, pattern in (("PACKAGE", "*.py"), ("SCHEMAS", "*.json")):
        copied = shutil.copytree(getattr(snapshot, name), tmp_path / getattr(snapshot, name).name)
        with monkeypatch.context() as patched:
            patched.setattr(snapshot, name, copied)
            assert snapshot.program.__wrapped__() == now
            path = next(iter(sorted(copied.rglob(pattern))))
            path.write_text(path.read_text("utf-8") + "\n", "utf-8")
            assert snapshot.program.__wrapped__() != now


def test_no_damage_is_taken_for_knowledge(kept, root):
    whole = kept.read_bytes()
    assert snapshot.load(kept, root) is not None
    damaged = [b"", b"\n", b"{}\n", b"[]\n", b"null\n" + whole, whole[:-1], whole[:200], whole + b"x",
               whole[whole.index(b"\n"):], b"\xff" * 100]
    step = max(1, len(whole) // 150)
    damaged += [whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1:] for at in range(0, len(whole), step)]
    fresh = plain(load(root))
    for data in damaged:
        kept.write_bytes(data)
        found = snapshot.load(kept, root)
        assert found is None or plain(found[0]) == fresh  # a digest in the head may be wrong where nothing rests on it
    kept.unlink()
    assert snapshot.load(kept, root) is None
    kept.mkdir()
    assert snapshot.load(kept, root) is None


class _Runs:
    def __init__(self, target: Path) -> None:
        self.target = target

    def __reduce__(self) -> tuple:
        return Path.touch, (self.target,)


def test_nothing_but_knowledge_is_made_from_it(kept, root, tmp_path):
    head = json.loads(kept.read_bytes().partition(b"\n")[0])
    body = pickle.dumps((load(root), _Runs(tmp_path / "ran")))
    head["body"] = hashlib.sha256(body).hexdigest()
    kept.write_bytes(json.dumps(head).encode() + b"\n" + body)
    assert snapshot.load(kept, root) is None
    assert not (tmp_path / "ran").exists()
    pickle.loads(body)  # it would have run
    assert (tmp_path / "ran").exists()


def test_a_place_that_cannot_be_written_changes_nothing(tmp_path):
    (tmp_path / "file").write_text("x", "utf-8")
    for file in (tmp_path / "file" / "kept", tmp_path / "none" / "kept"):
        snapshot.save(file, base(), {})
    taken = tmp_path / "taken"
    taken.mkdir()
    snapshot.save(taken, base(), {})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "taken"]


def test_knowledge_that_changed_since_it_was_read_is_not_kept(root, tmp_path):
    knowledge = load(root)
    change(root, "kb/gates.yaml", "\n", "\n\n")
    snapshot.save(tmp_path / "kept", knowledge, {})
    assert not (tmp_path / "kept").exists()


def _save_often(file: Path, root: Path) -> None:
    for _ in range(10):
        snapshot.save(file, load(root), {"more": {"a": ["b"]}})


@pytest.mark.skipif(not hasattr(os, "fork"), reason="starting processes anew takes seconds")
def test_two_processes_may_write_and_read_at_once(kept, root):
    context = multiprocessing.get_context("fork")
    writers = [context.Process(target=_save_often, args=(kept, root)) for _ in range(2)]
    for one in writers:
        one.start()
    while any(one.is_alive() for one in writers):
        recalled(kept, root)
    for one in writers:
        one.join()
    assert [one.exitcode for one in writers] == [0, 0]
    assert [path.name for path in kept.parent.iterdir() if path.is_file()] == ["kept"]
