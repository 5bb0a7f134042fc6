"""Job files in both languages: the corpus, and files spoilt at random, are read or refused alike."""

from __future__ import annotations

import copy
import json
import random
from pathlib import Path
from typing import Any

import pytest
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.guide import guide
from sparkgap.jobs.file import JobRefused, parse_job, write_job
from sparkgap.jobs.replay import replay
from sparkgap.knowledge.schemas import validator

from tests.jobs.jobs import AT, answer, job
from tests.js import Engine, engine
from tests.loaded import shipped

CORPUS = json.loads((Path(__file__).parents[1] / "vectors" / "jobs.json").read_text(encoding="utf-8"))
SPOILT = 3000
STUB = """globalThis.Sparkgap = globalThis.Sparkgap || {};
Sparkgap.store = { get: (key, otherwise) => otherwise, set: () => true };"""
READ = """(texts) => texts.map((text) => {
  try { return [true, Sparkgap.jobFile.parseText(text, "a.job.json")]; }
  catch (error) { if (!error.lines) throw error; return [false, error.lines]; }
})"""


@pytest.fixture(scope="module")
def js() -> Engine:
    context = engine("job-file.js")
    context.run(f"Sparkgap.jobFormat = {{ schema: {json.dumps(validator('job').schema)} }};")
    return context


def text_of(case: dict[str, Any]) -> str:
    """The file of a case: its own text, or the base with what is set, repeated and dropped."""
    times = {key: value * count if isinstance(value, str) else [value] * count
             for key, (value, count) in case.get("times", {}).items()}
    if "text" in case or "text" in times:
        return case.get("text", times.get("text"))
    made = {**CORPUS["base"], **case.get("set", {}), **times}
    return json.dumps({key: value for key, value in made.items() if key not in case.get("drop", ())})


def in_python(text: str) -> tuple[bool, Any]:
    try:
        return True, parse_job(text.encode("utf-8", "surrogatepass"), "a.job.json")
    except JobRefused as refused:
        return False, list(refused.lines)


@pytest.mark.parametrize("case", CORPUS["cases"], ids=lambda case: case["name"])
def test_both_languages_read_or_refuse_a_file(js: Engine, case: dict[str, Any]) -> None:
    text = text_of(case)
    accepted, told = in_python(text)
    assert accepted == case["accepted"], told
    ((taken, said),) = js.call(READ, [text])
    assert taken == case["accepted"], said
    if taken:
        assert json.dumps(said, sort_keys=True) == json.dumps(_as_numbers(told), sort_keys=True)
    else:
        assert all(line.startswith("a.job.json: ") for line in said) and 1 <= len(said) <= 21


def _as_numbers(value: Any) -> Any:
    """Whole doubles as whole numbers, as JavaScript writes them."""
    if isinstance(value, dict):
        return {key: _as_numbers(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_as_numbers(one) for one in value]
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 2**53 else value


def test_the_corpus_has_each_name_once_and_both_verdicts() -> None:
    names = [case["name"] for case in CORPUS["cases"]]
    assert len(set(names)) == len(names)
    assert {case["accepted"] for case in CORPUS["cases"]} == {True, False}


VALUES = [None, True, 0, 1, -1, 0.5, 1e300, "", "x", "constructor", "__proto__", "a" * 61, "é", "🔥", AT, [],
          {}, [None], {"kind": "answer"},
          "data:image/jpeg;base64,AAAA", "../x", "owner", "within", 5000, 4097, "a/b/c", "A"]


def _places(value: Any, at: tuple = ()) -> list[tuple]:
    found = [at]
    if isinstance(value, dict):
        found += [place for key, one in value.items() for place in _places(one, (*at, key))]
    elif isinstance(value, list):
        found += [place for n, one in enumerate(value) for place in _places(one, (*at, n))]
    return found


def _spoil(rng: random.Random, value: Any) -> None:
    """Set, drop or add one thing somewhere."""
    place = rng.choice(_places(value)[1:])
    inside = value
    for key in place[:-1]:
        inside = inside[key]
    act = rng.choice(("set", "set", "drop", "add"))
    if act == "drop":
        del inside[place[-1]]
    elif act == "add" and isinstance(inside[place[-1]], dict):
        inside[place[-1]][rng.choice(("x", "kind", "constructor", "__proto__", "at", "text"))] = rng.choice(VALUES)
    elif act == "add" and isinstance(inside[place[-1]], list):
        inside[place[-1]].append(rng.choice(VALUES))
    else:
        inside[place[-1]] = copy.deepcopy(rng.choice(VALUES))


def test_files_spoilt_at_random_are_read_or_refused_alike(js: Engine) -> None:
    rng = random.Random(20)
    full = next(case for case in CORPUS["cases"] if case["name"] == "every kind of entry")
    whole = {**json.loads(text_of(full)), "minutes": {"find": 3}, "who": ["owner"], "owner": {"name": "x"}, "photos": [
        {"name": "a.jpg", "at": AT, "says": "", "width": 2, "height": 2, "data": "data:image/jpeg;base64,AAAA"}],
        "outcome": {"end": "normal", "fault": None, "red_tag": None}}
    texts = []
    for _ in range(SPOILT):
        one = copy.deepcopy(whole)
        for _ in range(rng.choice((1, 1, 2))):
            _spoil(rng, one)
        texts.append(json.dumps(one))
    python = [in_python(text)[0] for text in texts]
    browser = [taken for taken, _ in js.call(READ, texts)]
    assert [text for text, a, b in zip(texts, python, browser, strict=True) if a != b] == []
    assert 0.02 < sum(python) / SPOILT < 0.9


def test_a_picture_of_the_greatest_length_is_read(js: Engine) -> None:
    for length, accepted in ((600_000, True), (600_001, False)):
        data = "data:image/jpeg;base64," + "A" * (length - 23)
        text = json.dumps(job(photos=[{"name": "a.jpg", "at": AT, "says": "", "width": 1, "height": 1, "data": data}]))
        assert (in_python(text)[0], js.call(READ, [text])[0][0]) == (accepted, accepted)


def test_the_words_of_the_format_are_all_known(js: Engine) -> None:
    """The browser throws when the schema comes to use a word that it does not know."""
    assert js.call("""() => {
      const mine = Sparkgap.jobFormat;
      Sparkgap.jobFormat = { schema: { type: "object", dependentRequired: {} } };
      try { Sparkgap.jobFile.problems({}); } catch (error) { return error.message; }
      finally { Sparkgap.jobFormat = mine; }
    }""") == "the format uses a word that this page does not know: dependentRequired"


# ---- what a job says to the engines ----


@pytest.fixture(scope="module")
def replaying() -> Engine:
    context = engine("gates.js")
    context.run(STUB)
    context.run((Path(__file__).parents[2] / "conf" / "static" / "js" / "job.js").read_text(encoding="utf-8"))
    return context


def view_of(symptom: str) -> dict[str, Any]:
    """What a symptom page embeds, as far as the log goes."""
    from tests.jobs.test_gates import gates_json, seen

    knowledge = shipped()
    model = compile_symptom(knowledge, symptom)
    remedies = {one["id"]: knowledge.remedies[one["id"]] for one in model["remedies"]}
    names = {one["id"] for one in model["checks"]} | {one.proof for one in remedies.values()}
    return {"gates": gates_json(knowledge),
            "checks": {gid: {**seen(one, knowledge), "answers": dict.fromkeys(one.answers, {})}
                       for gid, one in knowledge.checks.items() if gid in names},
            "remedies": {gid: {**seen(one, knowledge), "proof": one.proof} for gid, one in remedies.items()}}


LOG = [answer("first-look/relights", "at-once", hearsay=True), answer("first-look/relights", "sideways"),
       answer("none/none", "x"), {"kind": "gate", "id": "burner-cool"},
       {"kind": "gate", "id": "purge-wait", "remedy": "burner-tube/sweep-tube"},
       {"kind": "aside", "id": "tank-and-bypass/bypass-position"}, answer("tank-and-bypass/bypass-position", "normal"),
       {"kind": "aside", "id": "none/none"}, {"kind": "replaced", "part": "thermostat", "when": "for-this"},
       {"kind": "failed", "id": "burner-tube/sweep-tube"}, {"kind": "gate", "id": "burner-cool"},
       {"kind": "note", "text": "x"}]


def test_the_same_log_is_the_same_evidence_and_the_same_belief(replaying: Engine) -> None:
    from tests.jobs.test_gates import access_json

    knowledge, symptom = shipped(), "burner-quits-early"
    told = replay(knowledge, job(*LOG))
    folded = replaying.call("""(log, access, view) => {
      const folded = Sparkgap.job.fold({ log }, { access }, view);
      return { ...folded.evidence, held: [...folded.site.held].sort() };
    }""", [{"at": AT, **entry} for entry in LOG], access_json(knowledge), view_of(symptom))
    assert set(folded.pop("held")) == told.held
    assert {**folded, "open": sorted(folded["open"])} == told.evidence
    model = compile_symptom(knowledge, symptom)
    assert guide(model, {}, folded)["belief"] == guide(model, {}, told.evidence)["belief"]


def test_a_reading_of_a_limit_with_one_side_counts(replaying: Engine) -> None:
    """A reading weighs all three sides; a check whose limit has one side has two answers."""
    from tests.jobs.test_gates import access_json

    knowledge, gid = shipped(), "gas-pressure/pressure-fall"
    assert set(knowledge.checks[gid].answers) == {"within", "above"}
    entry = {"at": AT, **answer(gid, "within", v={"below": 0, "within": 0.97, "above": 0.03})}
    view = view_of("lp-supply-low")
    assert gid in view["checks"]
    assert replay(knowledge, job(entry)).evidence["results"] == {gid: {"v": entry["v"], "hearsay": False}}
    results = replaying.call("(log, access, view) => Sparkgap.job.fold({ log }, { access }, view).evidence.results",
                             [entry], access_json(knowledge), view)
    assert results == {gid: {"v": entry["v"], "hearsay": False}}


def test_what_is_read_is_written_the_same_again() -> None:
    for case in CORPUS["cases"]:
        accepted, found = in_python(text_of(case))
        if accepted and "half a pair" not in case["name"]:
            assert parse_job(write_job(found)) == found
