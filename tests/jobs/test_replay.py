"""What a job file says to the engines."""

from pathlib import Path

from sparkgap.jobs.file import read_job
from sparkgap.jobs.replay import replay

from tests.jobs.jobs import answer, job
from tests.loaded import shipped


def test_a_log_becomes_evidence():
    told = replay(shipped(), job(
        answer("first-look/relights", "at-once", hearsay=True),
        {"kind": "aside", "id": "tank-and-bypass/bypass-position"},
        answer("tank-and-bypass/bypass-position", "normal"),
        {"kind": "replaced", "part": "thermostat", "when": "for-this"},
        {"kind": "gate", "id": "no-gas-smell"},
        who=["owner"]))
    assert told.evidence["results"] == {
        "first-look/relights": {"v": {"at-once": 1.0}, "hearsay": True},
        "tank-and-bypass/bypass-position": {"v": {"normal": 1.0}, "hearsay": False}}
    assert told.evidence["aside"] == []
    assert told.evidence["replaced"] == [{"part": "thermostat", "when": "for-this"}]
    assert told.evidence["who"] == ["owner"]
    assert told.held == {"no-gas-smell"}
    assert told.unknown == []


def test_a_later_answer_takes_the_place_of_an_earlier_one():
    told = replay(shipped(), job(answer("first-look/relights", "at-once"), answer("first-look/relights", "after-rest")))
    assert told.evidence["results"]["first-look/relights"]["v"] == {"after-rest": 1.0}


def test_a_remedy_that_failed_and_one_that_was_proved():
    told = replay(shipped(), job({"kind": "failed", "id": "spark-electrode/replace-electrode"},
                                 {"kind": "done", "id": "burner-tube/sweep-tube"}))
    assert told.evidence["failed"] == ["spark-electrode/replace-electrode"]
    assert told.proved == "burner-tube/sweep-tube"


def test_what_the_knowledge_does_not_have_is_said_and_not_counted():
    told = replay(shipped(), job(
        answer("none/none", "x"), answer("first-look/relights", "sideways"), {"kind": "gate", "id": "none"},
        {"kind": "aside", "id": "none/none"}, {"kind": "replaced", "part": "none", "when": "before"},
        {"kind": "done", "id": "none/none"}, symptom="none", knowledge="another",
        unit={"id": None, "title": "", "plate": {"ignition": "nonsense", "none": 1.0}}))
    assert told.evidence["results"] == {} and told.plate == {}
    assert len(told.unknown) == 10
    assert told.unknown[4] == ("log.0: this knowledge does not have the check 'none/none'; it is kept, and not counted")


def test_the_demo_job_of_the_readme_is_known_in_full():
    told = replay(shipped(), read_job(Path(__file__).with_name("demo.job.json")))
    assert told.unknown == []
    assert told.proved == "spark-electrode/replace-electrode"
    assert len(told.evidence["results"]) == 3
