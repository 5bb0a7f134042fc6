"""sparkgap guide --save begins a job file that reads back as the same evidence."""

from __future__ import annotations

import json

from sparkgap.cli import main
from sparkgap.jobs.file import read_job
from sparkgap.jobs.replay import replay

from tests.loaded import base

ASKED = ["guide", "pump-silent", "--unit", "demo-brushed", "--found", "supply/fuse-look=~blown",
         "--reading", "motor-current=6.1 A@clamp", "--aside", "pump-checks/lights"]


def test_what_was_typed_reads_back_as_the_same_evidence(tmp_path, capsys):
    path = tmp_path / "a.job.json"
    root = ["--root", str(base().root)]
    assert main([*root, *ASKED, "--save", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    job = read_job(path)
    again = replay(base(), job)
    assert again.unknown == [] and (job["symptom"], job["unit"]["id"]) == ("pump-silent", "demo-brushed")
    assert again.evidence["results"]["supply/fuse-look"] == {"v": {"blown": 1.0}, "hearsay": True}
    assert again.evidence["aside"] == ["pump-checks/lights"]
    assert again.plate["motor"] == base().units["demo-brushed"].plate["motor"]
    judged = told["judged"]["pump-checks/motor-current"]
    entry = next(one for one in job["log"] if one.get("id") == "pump-checks/motor-current")
    assert (entry["verdict"], entry["within"]) == (judged["verdict"], judged["v_within"])


def test_a_job_is_never_overwritten(tmp_path, capsys):
    path = tmp_path / "a.job.json"
    path.write_text("mine", encoding="utf-8")
    assert main(["--root", str(base().root), *ASKED, "--save", str(path)]) != 0
    assert "there is such a file already" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "mine"
