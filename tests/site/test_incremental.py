"""What a second build reads and writes, and that two ways of building give the same bytes."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from .builds import Built, build, contents, copy_of_sources

pytestmark = pytest.mark.site
PROCEDURE = "procedures/water-heating/spark-electrode"
SYMPTOM = "kb/symptoms/water-heating/burner-quits-early"


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the sources, built once; each test changes it and builds again."""
    root = copy_of_sources(tmp_path_factory.mktemp("workshop"))
    assert build(root, root / "built").status == 0
    return root


def again(root: Path) -> Built:
    return build(root, root / "built")


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def documents(built: Built) -> list[str]:
    """The pages written that are documents: the front and search pages are always written."""
    return [name for name in built.written if name not in ("index", "search")]


def test_nothing_changed_nothing_read(workshop: Path) -> None:
    built = again(workshop)
    assert (built.read, documents(built)) == ([], [])


def test_touching_a_procedure_reads_it_alone(workshop: Path) -> None:
    os.utime(workshop / f"{PROCEDURE}.md")
    built = again(workshop)
    assert built.read == [PROCEDURE]
    assert PROCEDURE in documents(built) and SYMPTOM not in documents(built)


def test_a_changed_title_reads_the_pages_that_show_it(workshop: Path) -> None:
    title = next(line for line in (workshop / f"{PROCEDURE}.md").read_text().splitlines() if line.startswith("title: "))
    edit(workshop / f"{PROCEDURE}.md", title, 'title: "Electrode, said anew"')
    built = again(workshop)
    assert PROCEDURE in built.read and "kb/procedures" in built.read and SYMPTOM in built.read
    assert "kb/units" not in built.read and "kb/sources" not in built.read
    assert "Electrode, said anew" in (built.out / "kb/procedures.html").read_text(encoding="utf-8")
    assert "Electrode, said anew" in (built.out / f"{SYMPTOM}.html").read_text(encoding="utf-8")


def test_a_changed_body_reads_no_other_page(workshop: Path) -> None:
    path = workshop / f"{PROCEDURE}.md"
    path.write_text(path.read_text(encoding="utf-8") + "\nOne more sentence.\n", encoding="utf-8")
    assert again(workshop).read == [PROCEDURE]


def test_a_changed_shared_file_reads_the_pages_that_show_it(workshop: Path) -> None:
    edit(workshop / "kb/gates.yaml", 'title: "Gas off at the cylinder"', 'title: "Cylinder shut"')
    built = again(workshop)
    assert "kb/gates" in built.read and PROCEDURE in built.read and SYMPTOM in built.read
    assert "kb/units" not in built.read
    assert "Cylinder shut" in (built.out / f"{SYMPTOM}.html").read_text(encoding="utf-8")


def test_rebuilding_in_steps_gives_the_same_text_as_building_anew(workshop: Path, tmp_path: Path) -> None:
    stepped, clean = again(workshop), build(workshop, tmp_path)
    changed = {name for name, data in contents(clean.out).items()
               if contents(stepped.out).get(name) != data and name.endswith((".html", ".js", ".inv"))}
    assert changed == set()


def test_serial_and_parallel_builds_give_the_same_bytes(site: Built, sources: Path, tmp_path: Path) -> None:
    parallel = build(sources, tmp_path, jobs=2)
    one, two = contents(site.out), contents(parallel.out)
    assert sorted(one) == sorted(two)
    assert [name for name in one if one[name] != two[name]] == []


def test_a_problem_in_the_knowledge_fails_the_build_and_says_where(tmp_path: Path) -> None:
    root = copy_of_sources(tmp_path)
    path = root / f"{PROCEDURE}.md"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    line = next(n for n, text in enumerate(lines, 1) if text.startswith("tools: ["))
    lines[line - 1] = "tools: [no-such-tool]\n"
    path.write_text("".join(lines), encoding="utf-8")
    built = build(root, root / "built", strict=False)
    assert built.status == 2
    assert f"{path}:{line}: WARNING: unknown-reference: there is no tool 'no-such-tool'" in built.warnings
    assert built.warnings.endswith("mend them, nothing was built")
    assert not (built.out / "index.html").exists()


def test_an_undeclared_directive_is_a_warning_at_its_line(tmp_path: Path) -> None:
    root = copy_of_sources(tmp_path)
    path = root / "kb/tools.md"
    text = path.read_text(encoding="utf-8")
    path.write_text(text + "\n```{listing} nothing\n```\n", encoding="utf-8")
    line = text.count("\n") + 2
    built = build(root, root / "built", strict=False)
    assert f"{path}:{line}: ERROR: there is no index 'nothing'" in built.warnings
