"""Job files: what is read, what is refused and in which words."""

import json

import pytest
from sparkgap.jobs.file import MAX_BYTES, JobRefused, parse_job, read_job, write_job

from tests.jobs.jobs import AT, answer, job

PHOTO = {"name": "tube.jpg", "at": AT, "says": "web in the tube", "width": 640, "height": 480,
         "data": "data:image/jpeg;base64,/9j/4AAQ"}


def text(value) -> bytes:
    return json.dumps(value).encode()


def refused(data: bytes) -> list[str]:
    with pytest.raises(JobRefused) as caught:
        parse_job(data, "a.job.json")
    return list(caught.value.lines)


def test_a_job_is_written_and_read_back_the_same(tmp_path):
    one = job(answer("first-look/relights", "at-once"), {"kind": "note", "text": "<script>alert(1)</script> 🔥"},
              photos=[PHOTO], minutes={"find": 20}, owner={"name": "O'Neil & Söhne"})
    path = tmp_path / "a.job.json"
    path.write_bytes(write_job(one))
    assert read_job(path) == one


@pytest.mark.parametrize(("data", "lines"), [
    (b"", ["a.job.json:1:1: Expecting value (the file is cut off or no JSON)"]),
    (b'{"format": "sparkgap-job",', ["a.job.json:1:27: Expecting property name enclosed in double quotes "
                                     "(the file is cut off or no JSON)"]),
    (b"\xff\xfe{}", ["a.job.json: not UTF-8 at byte 0 (export the job again)"]),
    (b"[" * 200_000, ["a.job.json: nested too deep for a job file"]),
    (b"[1]", ["a.job.json: not a job file (its format must be 'sparkgap-job')"]),
    (b'{"format": "sparkgap-job", "format": 1}', ["a.job.json: the key 'format' stands twice"]),
    (b'{"version": NaN}', ["a.job.json: NaN is no number of JSON"]),
    (text(job(version=7)), ["a.job.json: written in version 7 of the format, this program knows 1 "
                            "(update the program, the file is untouched)"]),
    (text(job(version=True)), ["a.job.json: version: must be a whole number from 1 on"]),
    (text(job(photos=[{**PHOTO, "name": "../../etc/passwd"}])),
     ["a.job.json: photos.0.name: '../../etc/passwd' does not match '^[A-Za-z0-9][A-Za-z0-9 ._-]{0,79}$' "
      "(a file name without a folder)"]),
    (text(job(photos=[PHOTO, {**PHOTO, "name": "TUBE.JPG"}])),
     ["a.job.json: photos: two are named 'tube.jpg' (rename one)"]),
    (text(job({"kind": "answer", "id": "a/b", "answer": "x", "v": {"x": 0.5}})),
     ["a.job.json: log.0.v: the weights of the answers sum to 0.5 (they must sum to 1)"]),
    (text(job({"kind": "answer", "id": "a/b", "answer": "y", "v": {"x": 1.0}})),
     ["a.job.json: log.0.answer: 'y' has no weight in v"]),
    (text(job({"kind": "explode"})), ["a.job.json: log.0: explode is no kind of entry"]),
    (text(job({"kind": "gate"})), ["a.job.json: log.0: 'id' is a required property (a safety gate was passed)"]),
])
def test_what_is_no_job_file_is_refused_with_words(data, lines):
    assert refused(data) == lines


def test_all_problems_are_told_at_once_and_not_without_end():
    one = job(*({"kind": "gate"} for _ in range(30)))
    lines = refused(text(one))
    assert len(lines) == 21
    assert lines[-1] == "a.job.json: and 10 more"


def test_a_file_that_is_too_large_or_no_file_is_refused(tmp_path):
    large = tmp_path / "large.job.json"
    large.write_bytes(b" " * (MAX_BYTES + 1))
    for path, words in ((large, "larger than 8 MB"), (tmp_path, "Is a directory"), (tmp_path / "none", "No such file")):
        with pytest.raises(JobRefused, match=words):
            read_job(path)


def test_a_job_that_does_not_fit_is_not_written():
    with pytest.raises(JobRefused, match="complaint"):
        write_job(job(complaint=7))
