"""Changing values of a YAML file and leaving all else as it is."""

import os

import pytest
from sparkgap.knowledge.edit import Edit, EditError, write_files
from sparkgap.knowledge.yaml_reader import read_yaml

TEXT = """\
# how often
id: x   # the id
weights: {normal: 0.06, other: 0.05}  # shares
faults:
  worn:   34      # most
  'odd': "28"
  last: 3
source: memory # why

list: [1, {a: 'b'}]
says: |
  two
  lines
end: {}
"""


def test_values_change_in_their_quotes_and_nothing_else():
    edit = Edit(TEXT)
    edit.set(("weights", "other"), "0.07")
    edit.set(("faults", "worn"), "31.5")
    edit.set(("faults", "odd"), "9")
    edit.set(("list", 1, "a"), "it's")
    edit.set(("source",), "shop-jobs")
    assert edit.text() == (TEXT.replace("0.05", "0.07").replace("34 ", "31.5 ").replace('"28"', '"9"')
                           .replace("'b'", "'it''s'").replace("memory", "shop-jobs"))


def test_keys_are_added_at_the_end_after_another_and_between_braces():
    edit = Edit(TEXT)
    edit.add((), "new", "\n  a: 1\n  b: 2", after="source")
    edit.add(("faults",), "more", "4")
    edit.add(("weights",), "third", "0.1", after="normal")
    edit.add(("end",), "a", "1")
    edit.add(("list", 1), "c", "2")
    edit.add((), "last", "7")
    edit.add((), "story", "8", after="says")
    text = edit.text()
    assert text == (TEXT.replace("source: memory # why\n", "source: memory # why\nnew:\n  a: 1\n  b: 2\n")
                    .replace("  last: 3\n", "  last: 3\n  more: 4\n").replace("0.06, ", "0.06, third: 0.1, ")
                    .replace("{}", "{a: 1}").replace("'b'}", "'b', c: 2}").replace("  lines\n", "  lines\nstory: 8\n")
                    + "last: 7\n")
    assert read_yaml(text, "x").data["new"] == {"a": 1, "b": 2}


@pytest.mark.parametrize(("before", "after"), [
    ("a: 1\r\nb: 2\r\n", "a: 3\r\nnew: 4\r\nb: 2\r\n"),
    ("\ufeffa: 1\nb: 2", "\ufeffa: 3\nnew: 4\nb: 2"),
    ("a: 1", "a: 3\nnew: 4"),
    ("é: ☃\na: 1 # 🔥", "é: ☃\na: 3 # 🔥\nnew: 4"),
])
def test_line_breaks_marks_and_odd_signs_stay(before, after):
    edit = Edit(before)
    edit.set(("a",), "3")
    edit.add((), "new", "4", after="a")
    assert edit.text() == after


def test_what_cannot_be_changed_is_said():
    edit = Edit(TEXT)
    assert edit.has("faults", "worn") and not edit.has("faults", "none") and not edit.has("list", 7)
    assert edit.raw("faults", "odd") == '"28"'
    for change, words in ((lambda: edit.set(("faults", "none"), "1"), "faults.none: not there"),
                          (lambda: edit.set(("faults",), "1"), "faults: no plain or quoted value"),
                          (lambda: edit.set(("says",), "1"), "says: no plain or quoted value"),
                          (lambda: edit.add(("id",), "a", "1"), "id: no mapping"),
                          (lambda: edit.add((), "a", "1", after="none"), "none: not there"),
                          (lambda: edit.add(("weights",), "a", "\n b: 1"), "several lines do not fit")):
        with pytest.raises(EditError, match=words):
            change()
    edit.set(("id",), "y")
    edit.set(("id",), "z")
    with pytest.raises(EditError, match="changed twice"):
        edit.text()


def test_all_files_are_written_or_none(tmp_path, monkeypatch):
    one, two = tmp_path / "one", tmp_path / "two"
    for path in (one, two):
        path.write_text("old\r\n", newline="")
    one.chmod(0o640)
    mode = one.stat().st_mode
    write_files({one: "é\r\n", two: "2"})
    assert (one.read_bytes(), two.read_bytes()) == ("é\r\n".encode(), b"2")
    assert one.stat().st_mode == mode

    put, calls = os.replace, []

    def fails_once(source, target):
        calls.append(target)
        if len(calls) == 2:
            raise OSError(28, "No space left on device", str(target))
        put(source, target)

    monkeypatch.setattr(os, "replace", fails_once)
    with pytest.raises(OSError, match="No space left"):
        write_files({one: "a", two: "b"})
    assert (one.read_bytes(), two.read_bytes()) == ("é\r\n".encode(), b"2")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one", "two"]


def test_a_file_that_cannot_be_made_ready_leaves_all_as_it_was(tmp_path, monkeypatch):
    one, two = tmp_path / "one", tmp_path / "two"
    one.write_text("1")
    two.write_text("2")
    with pytest.raises(UnicodeEncodeError):
        write_files({one: "a", two: "\ud800"})

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_files({one: "a", two: "b"})
    assert (one.read_text(), two.read_text()) == ("1", "2")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one", "two"]
