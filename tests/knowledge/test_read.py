"""Reading files: what cannot be read, what is broken once and not everywhere, and what the digest depends on."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from sparkgap.knowledge import load
from sparkgap.knowledge.files import MAX_BYTES

from tests.loaded import BASE, base


@pytest.fixture
def folder(tmp_path) -> Path:
    """A copy of the base to break."""
    return Path(shutil.copytree(BASE, tmp_path / "knowledge"))


def said(root: Path) -> list[str]:
    return [str(problem) for problem in load(root).problems]


def test_files_that_cannot_be_read(folder):
    units = folder / "kb/units"
    (units / "a-folder.yaml").mkdir()
    (units / "bytes.yaml").write_bytes(b"id: bytes\ntitle: \xff\n")
    (units / "huge.yaml").write_bytes(b"#" * (MAX_BYTES + 1))
    (units / "nothing.yaml").write_text("", encoding="utf-8")
    (units / "nul.yaml").write_text('id: nul\ntitle: "a\0b"\n', encoding="utf-8")
    assert said(folder) == [
        "kb/units/a-folder.yaml:1:1: file-unreadable a directory where a file belongs (rename or remove it)",
        "kb/units/bytes.yaml:1:1: file-unreadable not UTF-8 at byte 17 (save it as UTF-8)",
        "kb/units/huge.yaml:1:1: file-unreadable larger than 2,000,000 bytes (split it)",
        "kb/units/nothing.yaml:1:1: yaml-null the document is empty (write the keys that the schema asks for)",
        "kb/units/nul.yaml:2:10: file-unreadable the invisible character U+0000 stands here "
        "(take it out, or type a space)",
    ]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes and links here")
def test_links_in_a_ring_and_pipes_do_not_hang(folder):
    units = folder / "kb/units"
    (units / "ring.yaml").symlink_to("ring.yaml")
    (units / "gone.yaml").symlink_to("no-such-file.yaml")
    (units / "loop").symlink_to(folder / "kb")
    os.mkfifo(units / "pipe.yaml")
    assert said(folder) == [
        "kb/units/gone.yaml:1:1: file-unreadable No such file or directory (check name and permissions)",
        "kb/units/loop:1:1: file-stray a link to a folder is not followed (put the files themselves here)",
        "kb/units/pipe.yaml:1:1: file-unreadable no ordinary file (put a text file in its place)",
        "kb/units/ring.yaml:1:1: file-unreadable Too many levels of symbolic links (check name and permissions)",
    ]


def test_a_folder_without_knowledge_says_what_it_lacks(tmp_path):
    names = ["access", "constants", "emergencies", "gates", "knowledge", "parts", "plate", "sources", "tools"]
    assert [line for line in said(tmp_path) if "file-unreadable" in line] == [
        f"kb/{name}.yaml:1:1: file-unreadable No such file or directory (check name and permissions)" for name in names]


def test_windows_line_ends_and_a_byte_order_mark_change_nothing(folder):
    for path in folder.rglob("*.*"):
        if path.suffix in (".yaml", ".md"):
            text = path.read_bytes()
            path.write_bytes(b"\xef\xbb\xbf" + text.replace(b"\n", b"\r\n"))
    other = load(folder)
    assert other.problems == []
    assert other.digest == base().digest
    assert other.checks["pump-checks/lights"].place == base().checks["pump-checks/lights"].place


def test_old_line_ends_count_as_lines(folder):
    (folder / "kb/units/old.yaml").write_bytes(b'id: old\rtitle: "Old"\rsource: demo\rplate: {motor: no}\r')
    assert said(folder) == ['kb/units/old.yaml:4:16: yaml-ambiguous YAML reads no as something else (quote it: "no")']


# One file broken in syntax, and the same with one wrong key: the only problem is the one in that file.
FILES = sorted(path.relative_to(BASE).as_posix() for path in BASE.rglob("*.*") if path.suffix in (".yaml", ".md"))


@pytest.mark.parametrize("file", FILES)
def test_one_broken_file_takes_nothing_down_with_it(folder, file):
    path = folder / file
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(": ", ": : ", 1), encoding="utf-8")
    assert [line.split(" ")[0].split(":")[0] for line in said(folder)] == [file]


@pytest.mark.parametrize("file", [name for name in FILES if "/" in name[3:] or "parts" in name or "plate" in name])
def test_one_wrong_key_takes_nothing_down_with_it(folder, file):
    path = folder / file
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("title: ", "titel: ", 1), encoding="utf-8")
    assert [line.split(":")[0] for line in said(folder)] == [file, file]


def test_an_unreadable_file_takes_nothing_down_with_it(folder):
    for file in ("kb/gates.yaml", "kb/plate.yaml", "procedures/fresh-water/pump-checks.md", "kb/faults/dc-power.yaml"):
        (folder / file).write_bytes(b"\xff")
    assert [line.split(" ")[1] for line in said(folder)] == ["file-unreadable"] * 4


def test_ids_are_unique_across_folders(folder):
    (folder / "procedures/waste-water").mkdir()
    text = (folder / "procedures/dc-power/supply.md").read_text(encoding="utf-8")
    (folder / "procedures/waste-water/supply.md").write_text(
        text.replace("system: dc-power", "system: waste-water"), encoding="utf-8")
    assert said(folder) == ["procedures/waste-water/supply.md:2:1: id-duplicate 'supply' is already declared at "
                            "procedures/dc-power/supply.md:2 (give one of them another id)"]


def test_an_id_differs_from_its_file(folder):
    (folder / "kb/units/demo-brushed.yaml").rename(folder / "kb/units/demo.yaml")
    (folder / "kb/symptoms/cooling").mkdir()
    (folder / "kb/symptoms/dc-power/lights-dim.yaml").rename(folder / "kb/symptoms/cooling/lights-dim.yaml")
    (folder / "kb/faults/dc-power.yaml").rename(folder / "kb/faults/power.yaml")
    assert said(folder) == [
        "kb/faults/power.yaml:1:1: id-mismatch the system 'dc-power' differs from the file 'power' "
        "(rename the file to dc-power, or change the system)",
        "kb/symptoms/cooling/lights-dim.yaml:3:1: id-mismatch the system 'dc-power' differs from the folder 'cooling' "
        "(rename the folder to dc-power, or change the system)",
        "kb/units/demo.yaml:1:1: id-mismatch the id 'demo-brushed' differs from the file name 'demo' (id: demo)",
    ]


def test_problems_are_sorted_by_place(folder):
    for file in FILES[::3]:
        path = folder / file
        path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    (folder / "kb/units/z.yaml").write_text("id: no\n", encoding="utf-8")
    (folder / "kb/a.yml").write_text("x: 1\n", encoding="utf-8")
    problems = load(folder).problems
    assert problems == sorted(problems) and len(problems) == 5


def test_the_digest_changes_with_content_and_with_nothing_else(folder):
    digest = base().digest
    assert load(folder).digest == digest and len(digest) == 16
    for path in folder.rglob("*"):
        os.utime(path, (1, 1))
    (folder / "kb/tables/notes.csv").write_text("1,2\n", encoding="utf-8")
    (folder / "README.txt").write_text("not read\n", encoding="utf-8")
    assert load(folder).digest == digest
    seen = {digest}
    for file in ("kb/knowledge.yaml", "procedures/dc-power/supply.md", "kb/symptoms/dc-power/lights-dim.yaml"):
        path = folder / file
        text = path.read_text(encoding="utf-8")
        path.write_text(text + "\n", encoding="utf-8")
        seen.add(load(folder).digest)
        path.write_text(text, encoding="utf-8")
    (folder / "kb/units/demo-brushed.yaml").rename(folder / "kb/units/demo-brushes.yaml")
    seen.add(load(folder).digest)
    assert len(seen) == 5


def test_every_file_is_remembered_with_its_digest():
    assert sorted(base().files) == FILES
    assert all(len(digest) == 64 for digest in base().files.values())


def test_entities_know_where_they_are_written():
    check = base().checks["pump-checks/motor-current"]
    lines = (BASE / check.place.path).read_text(encoding="utf-8").split("\n")
    assert lines[check.place.line - 1] == "  motor-current:"
    assert lines[check.at("minutes", "output").line - 1].strip().startswith("minutes: {calculator: fill-time")
    assert check.at("answers", "below", "nowhere") == check.at("answers", "below")
