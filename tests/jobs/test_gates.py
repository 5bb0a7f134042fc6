"""Which gates hold in the course of a job: the shared vectors in both languages, and the shipped acts through both."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sparkgap.knowledge.acts import Act
from sparkgap.knowledge.entities import Access, Gate
from sparkgap.knowledge.gates import Job, voids
from sparkgap.knowledge.model import Knowledge
from sparkgap.knowledge.needs import access_chain, connecting_gates, needed_gates
from sparkgap.problems import Place

from tests.js import engine
from tests.loaded import shipped

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "gates.json").read_text(encoding="utf-8"))
NOWHERE = Place("vectors")
PLAY = """(gates, accesses, acts, steps) => {
  const job = new Sparkgap.gates.Job(gates, accesses);
  return steps.map((step) => {
    if (step.hold) step.hold.forEach((gate) => job.held.add(gate));
    if (step.do) job.do(acts[step.do]);
    const lacking = step.ask ? job.lacking(acts[step.ask]) : null;
    return { lacking, held: [...job.held].sort(), open: [...job.open].sort() };
  });
}"""
STORE = """globalThis.Sparkgap = globalThis.Sparkgap || {};
Sparkgap.store = { get: (key, otherwise) => otherwise, set: () => true };"""


def the_knowledge() -> Knowledge:
    """Gates and accesses of the vectors."""
    gates = {name: Gate(name, name, NOWHERE, **one) for name, one in VECTORS["gates"].items()}
    access = {name: Access(name, name, NOWHERE, inside=one["inside"], attached=one["attached"],
                           gates=tuple(one["gates"])) for name, one in VECTORS["access"].items()}
    return Knowledge(None, gates=gates, access=access)


def the_acts() -> dict[str, Act]:
    """The acts of the vectors."""
    return {name: Act(name, name, NOWHERE, access=one["access"], closes=tuple(one["closes"]),
                      gates=tuple(one["gates"]), requires=one["requires"], leaves=one["leaves"])
            for name, one in VECTORS["acts"].items()}


def seen(act: Act, knowledge: Knowledge) -> dict:
    """An act as the pages hand it to the browser."""
    return {"chain": access_chain(act.access, knowledge), "closes": list(act.closes), "requires": act.requires,
            "leaves": act.leaves, "gates": needed_gates(act, knowledge),
            "connecting": connecting_gates(act, knowledge)}


def gates_json(knowledge: Knowledge) -> dict:
    return {name: {"holds": gate.holds, "voided_by": gate.voided_by} for name, gate in knowledge.gates.items()}


def access_json(knowledge: Knowledge) -> dict:
    return {name: {"inside": access.inside} for name, access in knowledge.access.items()}


def same(step: dict, lacking: list[str] | None, held: list[str], opened: list[str]) -> None:
    if "ask" in step:
        assert lacking == step["lacking"]
    if "do" in step:
        assert (held, opened) == (step["held"], step["open"])


@pytest.fixture(scope="module")
def js():
    return engine("gates.js")


@pytest.mark.parametrize("vector", VECTORS["sequences"], ids=lambda vector: vector["name"])
def test_vectors_in_python(vector):
    job, acts = Job(the_knowledge()), the_acts()
    for step in vector["steps"]:
        job.held.update(step.get("hold", ()))
        if "do" in step:
            job.do(acts[step["do"]])
        same(step, job.lacking(acts[step["ask"]]) if "ask" in step else None, sorted(job.held), sorted(job.open))


@pytest.mark.parametrize("vector", VECTORS["sequences"], ids=lambda vector: vector["name"])
def test_vectors_in_javascript(js, vector):
    knowledge = the_knowledge()
    acts = {name: seen(act, knowledge) for name, act in the_acts().items()}
    played = js.call(PLAY, gates_json(knowledge), access_json(knowledge), acts, vector["steps"])
    for step, got in zip(vector["steps"], played, strict=True):
        same(step, got["lacking"], got["held"], got["open"])


def test_vectors_are_told_apart_by_name_and_use_every_gate_and_act():
    assert len({vector["name"] for vector in VECTORS["sequences"]}) == len(VECTORS["sequences"])
    steps = [step for vector in VECTORS["sequences"] for step in vector["steps"]]
    assert {name for step in steps for name in step.get("hold", ())} == set(VECTORS["gates"])
    assert {step[key] for step in steps for key in ("do", "ask") if key in step} == set(VECTORS["acts"])


def test_both_languages_void_the_same_gates_after_every_shipped_act(js):
    knowledge = shipped()
    acts = {**knowledge.checks, **knowledge.remedies}
    python = {gid: sorted(name for name, gate in knowledge.gates.items() if voids(gate, act, knowledge))
              for gid, act in acts.items()}
    browser = js.call("""(gates, acts) => Object.fromEntries(Object.entries(acts).map(([gid, act]) =>
        [gid, Object.keys(gates).filter((id) => Sparkgap.gates.voids(gates[id], act)).sort()]))""",
                      gates_json(knowledge), {gid: seen(act, knowledge) for gid, act in acts.items()})
    assert browser == python
    assert {name for names in python.values() for name in names} == {
        name for name, gate in knowledge.gates.items() if gate.holds or any(gate.voided_by.values())}


def test_both_languages_agree_through_every_shipped_procedure(js):
    knowledge = shipped()
    for procedure in knowledge.procedures.values():
        acts = {act.gid: act for act in (*procedure.checks.values(), *procedure.remedies.values())}
        steps = [step for gid in acts for step in ({"ask": gid}, {"hold": needed_gates(acts[gid], knowledge)},
                                                   {"do": gid})]
        job, python = Job(knowledge), []
        for step in steps:
            job.held.update(step.get("hold", ()))
            if "do" in step:
                job.do(acts[step["do"]])
            python.append({"lacking": job.lacking(acts[step["ask"]]) if "ask" in step else None,
                           "held": sorted(job.held), "open": sorted(job.open)})
        shown = {gid: seen(act, knowledge) for gid, act in acts.items()}
        assert js.call(PLAY, gates_json(knowledge), access_json(knowledge), shown, steps) == python, procedure.id


# ---- the unfinished job of the guide, with the shipped knowledge ----


@pytest.fixture(scope="module")
def job_js():
    """job.js with the view of the shipped knowledge that a page embeds, as far as the gates go."""
    js = engine("gates.js")
    js.run(STORE)
    js.run((Path(__file__).parents[2] / "conf" / "static" / "js" / "job.js").read_text(encoding="utf-8"))
    return js


def folded(job_js, *log: dict) -> dict:
    """What job.js makes of a log: held gates, proof gates, open accesses, the results."""
    knowledge = shipped()
    named = {entry.get("id") for entry in log}
    remedies = {gid: knowledge.remedies[gid] for gid in named & set(knowledge.remedies)}
    checks = {gid: knowledge.checks[gid] for gid in (named | {r.proof for r in remedies.values()})
              & set(knowledge.checks)}
    view = {"gates": gates_json(knowledge), "checks": {gid: seen(act, knowledge) for gid, act in checks.items()},
            "remedies": {gid: {**seen(act, knowledge), "proof": act.proof} for gid, act in remedies.items()}}
    return job_js.call("""(log, view, access) => {
      const folded = Sparkgap.job.fold({ log }, { access }, view);
      return { held: [...folded.site.held].sort(), open: folded.evidence.open.slice().sort(), done: folded.done,
        proof: Object.fromEntries([...folded.proofGates].map(([gid, gates]) => [gid, [...gates].sort()])),
        results: Object.keys(folded.evidence.results).sort(), failed: folded.evidence.failed };
    }""", list(log), view, access_json(knowledge))


def passed(*gates: str) -> list[dict]:
    return [{"kind": "gate", "id": gate} for gate in gates]


def answered(gid: str, answer: str, **more) -> dict:
    return {"kind": "answer", "id": gid, "answer": answer, "v": {answer: 1}, **more}


def test_a_cool_burner_is_asked_for_anew_after_a_run_and_the_qualification_is_not(job_js):
    log = passed("burner-cool", "gas-off-at-cylinder", "qualified-for-gas", "no-gas-smell", "purge-wait",
                 "fresh-air-and-co-alarm", "water-in-tank", "closed-up-and-leak-checked", "scald-caution")
    assert len(folded(job_js, *log)["held"]) == 9
    assert folded(job_js, *log, answered("burner-proof/burner-holds", "holds"))["held"] == [
        "closed-up-and-leak-checked", "fresh-air-and-co-alarm", "qualified-for-gas", "scald-caution", "water-in-tank"]


def test_what_was_told_is_no_act_and_voids_nothing(job_js):
    log = [*passed("burner-cool"), answered("burner-proof/burner-holds", "holds", hearsay=True)]
    assert folded(job_js, *log)["held"] == ["burner-cool"]
    assert folded(job_js, *log)["results"] == ["burner-proof/burner-holds"]


def test_12_v_proved_dead_is_void_after_a_reading_with_it_on(job_js):
    log = [*passed("power-off-dc", "mains-off"), answered("power-at-the-board/feed-live", "live")]
    assert folded(job_js, *log)["held"] == ["mains-off"]
    assert folded(job_js, *log)["open"] == ["board-terminals", "outer-door"]


def test_a_relieved_tank_is_not_relieved_once_the_pump_ran(job_js):
    log = [*passed("tank-cold-and-relieved"), answered("hot-flow-and-screens/outlet-open", "free")]
    assert folded(job_js, *log)["held"] == ["tank-cold-and-relieved"]
    assert folded(job_js, *log, answered("pressure-at-the-hose/pump-pressure", "within"))["held"] == []


def test_alarm_and_flue_are_asked_again_after_the_burner_was_uncovered(job_js):
    gates = passed("fresh-air-and-co-alarm", "gas-off-at-cylinder", "burner-cool")
    assert "fresh-air-and-co-alarm" in folded(job_js, *gates, answered("burner-proof/burner-holds", "holds"))["held"]
    assert folded(job_js, *gates, answered("burner-tube/tube-look", "clean"))["held"] == [
        "burner-cool", "gas-off-at-cylinder"]


def test_a_remedy_that_failed_has_run_its_proof(job_js):
    log = [*passed("burner-cool", "gas-off-at-cylinder", "mains-off", "qualified-for-gas"),
           {"kind": "failed", "id": "burner-tube/sweep-tube"}]
    got = folded(job_js, *log)
    assert got["held"] == ["mains-off", "qualified-for-gas"] and got["open"] == []
    assert got["failed"] == ["burner-tube/sweep-tube"] and got["done"] is None


def test_the_gates_of_a_proof_are_kept_by_remedy_until_the_next_act(job_js):
    gate = {"kind": "proof-gate", "id": "purge-wait", "remedy": "burner-tube/sweep-tube"}
    assert folded(job_js, gate)["proof"] == {"burner-tube/sweep-tube": ["purge-wait"]}
    assert folded(job_js, gate)["held"] == []
    assert folded(job_js, gate, answered("burner-tube/tube-look", "clean"))["proof"] == {}


def test_a_line_of_another_knowledge_is_passed_over(job_js):
    log = [{"kind": "gate", "id": "no-such-gate"}, answered("no-such/check", "x"),
           {"kind": "done", "id": "no-such/remedy"}, {"kind": "proof-gate", "id": "no-such-gate", "remedy": "a/b"}]
    got = folded(job_js, *log)
    assert (got["held"], got["open"], got["results"], got["proof"], got["done"]) == ([], [], [], {}, None)
