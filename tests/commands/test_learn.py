"""sparkgap learn: the change that it prints or writes, and the files that it refuses."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest
from sparkgap.jobs.file import write_job
from sparkgap.jobs.learn_edit import number
from sparkgap.knowledge import load
from sparkgap.knowledge.yaml_reader import read_yaml

from tests.conftest import knowledge_root
from tests.jobs.demo_jobs import DemoShop, write_demo_jobs
from tests.jobs.test_learn import MENDED, SEEN, closed, grounds
from tests.loaded import BASE

SYMPTOM = "kb/symptoms/fresh-water/pump-silent.yaml"


@pytest.fixture
def root(tmp_path):
    """A copy of the small knowledge, with a comment to keep."""
    folder = shutil.copytree(BASE, tmp_path / "root")
    path = next((folder / "kb/symptoms").rglob("pump-silent.yaml"))
    (folder / SYMPTOM).parent.mkdir(parents=True, exist_ok=True)
    text = path.read_text("utf-8").replace("source: memory\n", "source: memory  # nobody counted\n")
    path.unlink()
    (folder / SYMPTOM).write_text(text, "utf-8")
    return folder


@pytest.fixture
def heap(tmp_path):
    """A folder of job files: ten grounds, one sound unit, one open job."""
    folder = tmp_path / "jobs"
    folder.mkdir()
    for one in (*grounds(10), closed(10, SEEN, end="normal"), closed(11, SEEN, outcome=None)):
        (folder / f"{one['id']}.job.json").write_bytes(write_job(one))
    return folder


def files(folder) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_diff_goes_to_standard_output_and_is_what_write_writes(run, root, heap, tmp_path):
    before = files(root)
    ran = run("learn", str(heap), root=root)
    assert ran.code == 0 and files(root) == before
    assert "12 files read, 11 jobs counted." in ran.err and "shop-job-0011" in ran.err and "still open" in ran.err
    patched = shutil.copytree(root, tmp_path / "patched")
    subprocess.run(["git", "apply", "-"], input=ran.out, text=True, cwd=patched, check=True)
    wrote = run("learn", str(heap), "--write", root=root)
    assert wrote.out.endswith(f"wrote kb/sources.yaml\nwrote {SYMPTOM}\n") and wrote.err == ""
    assert files(patched) == files(root) != before


def test_what_is_written_is_sound_keeps_the_rest_and_says_what_it_counts(run, root, heap):
    text = (root / SYMPTOM).read_text("utf-8")
    run("learn", str(heap), "--write", root=root)
    assert run("check", root=root).out == "20 files, no problems\n"
    after = (root / SYMPTOM).read_text("utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("weights", "faults", "source", "  lights-dim"))]
    assert [line for line in after.splitlines() if line in kept] == kept
    data = read_yaml(after, SYMPTOM).data
    assert data["source"] == "shop-jobs" and "source: shop-jobs  # nobody counted\n" in after
    assert data["weights"] == {"normal": 0.098, "other": 0.078}
    assert data["faults"]["ground-corroded"] > 6 and data["also"]["lights-dim"]["ask"] == "pump-checks/lights"
    assert data["learned"] == {
        "jobs": 11, "first": "2026-03-02", "last": "2026-03-02", "judged": {
            "source": "memory", "weights": {"normal": 0.1, "other": 0.1},
            "faults": {"tank-empty": 2, "brushes-worn": 4, "ground-corroded": 4}, "also": {"lights-dim": 5}}}
    source = load(root).sources["shop-jobs"]
    assert source.kind == "dataset"
    assert source.note.startswith("11 jobs of 1 symptom, closed from 2026-03-02 to 2026-03-02, on top of judged")


def test_learning_again_begins_from_the_judgement(run, root, heap):
    run("learn", str(heap), "--write", root=root)
    once = files(root)
    assert run("learn", str(heap), "--write", root=root).out.endswith("Nothing to change.\n")
    assert files(root) == once
    later = closed(50, {"kind": "done", "id": "supply/charge-battery"}, fault="battery-flat", symptom="lights-dim",
                   closed="2026-05-01T10:00:00Z")
    (heap / "later.job.json").write_bytes(write_job(later))
    run("learn", str(heap / "later.job.json"), "--write", root=root)
    knowledge = load(root)
    assert knowledge.problems == []
    assert knowledge.sources["shop-jobs"].note.startswith("12 jobs of 2 symptoms, closed from 2026-03-02 to 2026-05-01")
    assert files(root)[SYMPTOM] == once[SYMPTOM]
    lights = next(text for path, text in files(root).items() if path.endswith("lights-dim.yaml")).decode()
    assert "weights: {normal: 0.049, other: 0.049}\n" in lights and "battery-flat: 3.03" in lights


def test_what_is_added_to_a_learned_list_is_judged(run, root, heap):
    run("learn", str(heap), "--write", root=root)
    path = root / SYMPTOM
    more = path.read_text("utf-8").replace("faults: {tank-empty", "faults: {fuse-blown: 2, tank-empty")
    path.write_text(more, "utf-8")
    run("learn", str(heap), "--write", root=root)
    assert run("check", root=root).code == 0
    data = read_yaml(path.read_text("utf-8"), SYMPTOM).data
    assert data["learned"]["judged"]["faults"]["fuse-blown"] == 2 > data["faults"]["fuse-blown"]


def test_json_fits_its_schema(run, root, heap):
    told = run("learn", str(heap), "--json", root=root).json("learn")
    assert told["jobs"]["counted"] == 11 and told["prior_jobs"] == 40 and told["written"] is False
    assert [one["id"] for one in told["symptoms"][0]["causes"]][0] == "ground-corroded"
    assert told["predictions"]["jobs"] == 11 and "+++ b/kb/sources.yaml" in told["diff"]
    none = run("learn", str(heap / "shop-job-0011.job.json"), "--json", root=root).json("learn")
    assert none["predictions"] is None and none["files"] == [] and none["diff"] == ""


@pytest.mark.parametrize(("name", "data", "words"), [
    ("cut.job.json", write_job(closed(1, SEEN))[:200], "the file is cut off or no JSON"),
    ("new.job.json", json.dumps(closed(1, SEEN, version=9)).encode(), "written in version 9 of the format"),
    ("script.job.json", json.dumps(closed(1, SEEN, id="<script>alert(1)</script>")).encode(), "id: '<script>"),
    ("<img src=x onerror=alert(1)>.job.json", b"[]", "not a job file"),
    ("deep.job.json", b"[" * 100_000, "nested too deep"),
    ("line\nbreak \x1b[31m.job.json", b"[]", "line\\nbreak \\u001b[31m.job.json: not a job file"),
])
def test_a_file_that_cannot_be_used_refuses_all(run, root, heap, name, data, words):
    try:
        (heap / name).write_bytes(data)
    except OSError:
        pytest.skip("no such file names here")
    (heap / "z.job.json").write_bytes(b"")
    before = files(root)
    ran = run("learn", str(heap), "--write", root=root)
    assert (ran.code, ran.out, files(root)) == (2, "", before)
    assert words in ran.err and "z.job.json" in ran.err and "Traceback" not in ran.err
    assert "nothing was counted: mend or leave out these files" in ran.err


def test_no_file_and_an_empty_folder_are_refused_together(run, root, tmp_path):
    (tmp_path / "empty").mkdir()
    ran = run("learn", str(tmp_path / "none.job.json"), str(tmp_path / "empty"), root=root)
    assert ran.code == 2 and "No such file" in ran.err and "no job file is in this folder" in ran.err


def test_a_disk_that_is_full_changes_nothing(run, root, heap, monkeypatch):
    before = files(root)

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    ran = run("learn", str(heap), "--write", root=root)
    assert ran.code == 2 and "No space left on device" in ran.err and "nothing was changed" in ran.err
    assert files(root) == before


def test_a_source_of_another_kind_is_not_overwritten(run, root, heap):
    path = root / "kb/sources.yaml"
    path.write_text(path.read_text("utf-8") + 'shop-jobs: {kind: demo, title: "Mine"}\n', "utf-8")
    ran = run("learn", str(heap), "--write", root=root)
    assert ran.code == 2 and "shop-jobs is there with another kind than dataset" in ran.err


def test_files_may_follow_an_option(run, root, heap):
    first, second = sorted(map(str, heap.iterdir()))[:2]
    assert run("learn", first, "--json", second, root=root).json("learn")["jobs"]["files"] == 2


def test_numbers_are_written_plainly():
    assert [number(value) for value in (34.0, 0.058, 0.000046, 1000.0, 0.0)] == ["34", "0.058", "0.000046", "1000", "0"]


def test_the_shipped_knowledge_learns_from_sixty_invented_jobs(run, knowledge, tmp_path):
    """The whole way on the real files: block and flow style, comments, and a clean check afterwards."""
    root = tmp_path / "root"
    for folder in ("kb", "procedures"):
        shutil.copytree(knowledge_root() / folder, root / folder)
    write_demo_jobs(DemoShop(knowledge, 1, look_ahead=1), tmp_path / "jobs", 60)
    before = files(root)
    ran = run("learn", str(tmp_path / "jobs"), "--demo", "--write", root=root)
    assert ran.code == 0 and "60 files read, 60 jobs counted." in ran.out
    assert run("check", root=root).out.endswith("files, no problems\n")
    changed = {path for path, data in files(root).items() if data != before[path]}
    assert len(changed) == 6 and "kb/sources.yaml" in {path.replace("\\", "/") for path in changed}
    assert load(root).sources["demo-jobs"].kind == "demo"


def test_a_job_marked_demo_does_not_count_for_the_shop(run, root, heap):
    one = closed(70, SEEN, MENDED, fault="ground-corroded", technician="demo")
    (heap / "demo.job.json").write_bytes(write_job(one))
    ran = run("learn", str(heap), root=root)
    assert "11 jobs counted" in ran.err and "an invented job" in ran.err
