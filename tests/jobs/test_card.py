"""The job card: everything that a procedure declares stands on it, and nothing on it can run."""

from __future__ import annotations

import dataclasses
import html
import re
from html.parser import HTMLParser

import pytest
from sparkgap.jobs.card import gates_again, render_card
from sparkgap.jobs.findings import Findings
from sparkgap.jobs.limits import limits_text
from sparkgap.knowledge.needs import needed_gates
from sparkgap.quantities import parse_quantity

from tests.loaded import base, shipped

VOID = {"meta", "br", "hr", "img", "input", "link"}


class Outline(HTMLParser):
    """The tags of a document, refused when they do not nest, and its text."""

    def __init__(self, document: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.feed(document)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        assert not any(name.startswith("on") for name, _ in attrs)
        self.tags.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open and self.open.pop() == tag, (tag, self.getpos())

    def handle_data(self, data):
        if "style" not in self.open:
            self.texts.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


def clean(text: str) -> str:
    return " ".join(text.split())


def shipped_procedures():
    return sorted(shipped().procedures)


@pytest.mark.parametrize("name", shipped_procedures())
def test_everything_of_a_shipped_procedure_stands_on_its_card(name):
    knowledge = shipped()
    procedure = knowledge.procedures[name]
    document = render_card(knowledge, name)
    outline = Outline(document)
    wanted = [procedure.title, f"revision {procedure.revision}", procedure.reviewed, knowledge.digest, knowledge.demo]
    for gate in procedure.safety_gates:
        wanted += [knowledge.gates[gate].title, knowledge.gates[gate].says, knowledge.gates[gate].otherwise]
    for act in (*procedure.checks.values(), *procedure.remedies.values()):
        wanted += [knowledge.gates[gate].title for gate in needed_gates(act, knowledge)]
        wanted += [knowledge.tools[tool].title for tool in act.tools] + [act.never, act.how]
    for tolerance in procedure.tolerances.values():
        wanted += [tolerance.title]
        wanted += [parse_quantity(limit.text, tolerance.quantity).show()
                   for band in tolerance.bands for limit in (band.low, band.high) if limit]
    for check in procedure.checks.values():
        wanted += [check.ask, check.good, *(part for a in check.answers.values() for part in (a.says, a.then))]
    for remedy in procedure.remedies.values():
        wanted += [remedy.title, remedy.after, *remedy.steps, knowledge.checks[remedy.proof].ask]
        wanted += [knowledge.faults[fault].title for fault in remedy.ends]
        wanted += [knowledge.parts[remedy.part].title] if remedy.part else []
    assert [part for part in wanted if clean(part) not in outline.text] == []
    assert document.count('class="card-blank card-initials"') == len(procedure.safety_gates)
    assert "card-ticked" not in document.split("</style>")[1]


def test_a_card_needs_no_other_file_and_runs_nothing():
    document = render_card(base(), "pump-checks")
    assert document.startswith("<!doctype html>\n")
    assert not re.search(r"<script|<link|<img|@import|url\(|https?:", document)
    assert not {"script", "iframe", "object", "form"} & set(Outline(document).tags)


HOSTILE = "<script>alert('x')</script>\"&</style>"


def test_hostile_text_is_shown_as_text():
    knowledge = base()
    procedure = knowledge.procedures["supply"]
    check = procedure.checks["fuse-look"]
    bad_check = dataclasses.replace(check, ask=HOSTILE, how=HOSTILE, never=HOSTILE, good=HOSTILE, answers={
        "whole": dataclasses.replace(check.answers["whole"], says=HOSTILE, then=HOSTILE)})
    bad = dataclasses.replace(procedure, title=HOSTILE, checks={**procedure.checks, "fuse-look": bad_check})
    findings = Findings(symptom=HOSTILE, complaint=HOSTILE, unit=HOSTILE, replaced=["fuse"])
    other = dataclasses.replace(knowledge, demo=HOSTILE, procedures={**knowledge.procedures, "supply": bad})
    document = render_card(other, "supply", findings)
    outline = Outline(document)
    assert "<script" not in document and document.count("</style>") == 1
    # Title twice, symptom, complaint, unit, check four times, answer twice, notice.
    assert outline.text.count(HOSTILE) == 12
    assert html.escape(HOSTILE, quote=False).replace("'", "&#39;").replace('"', "&#34;") in document


def test_found_answers_are_ticked_and_told_ones_said():
    results = {"pump-checks/lights": {"v": {"dim": 1.0}, "hearsay": True},
               "pump-checks/motor-current": {"v": {"below": 0.2, "within": 0.7, "above": 0.1}, "hearsay": False}}
    document = render_card(base(), "pump-checks", Findings(
        results=results, judged={"pump-checks/motor-current": ("too close to call", 0.7)},
        belief=[("brushes-worn", 0.625), ("normal", 0.2), ("other", 0.004)], replaced=["fuse", "pump-motor"]))
    ticked = re.findall(r'card-ticked">✓</span>\s*(.*?)</li>', document)
    assert ticked == ["Dim or dead (told, not seen)", "As on the plate"]
    text = Outline(document).text
    assert "Judged: too close to call (within 70.0 %)" in text
    assert "Dim or dead (told, not seen)" in text and "own checks found is ticked below" in text
    assert ("Likeliest: Brushes worn 63 %; Normal, no part needed 20 %; "
            "Something that is not in the knowledge <1 %") in text
    assert "Fitted already: Fuse of the listed rating, Pump motor" in text


def test_limits_follow_the_data_plate():
    tolerance = base().procedures["pump-checks"].tolerances["motor-current"]
    assert limits_text(base(), tolerance, {}) == (
        "3 A to 6 A (Motor: With brushes); 4 A to 8 A (Motor: Without brushes)")
    assert limits_text(base(), tolerance, {"motor": "brushless"}) == "4 A to 8 A"
    only = dataclasses.replace(tolerance, bands=tolerance.bands[:1])
    assert limits_text(base(), only, {"motor": "brushless"}) == "no limit is listed for this unit"
    assert limits_text(base(), only, {}) == "3 A to 6 A (Motor: With brushes)"
    reading = base().procedures["pump-checks"].tolerances["voltage-on"]
    assert limits_text(base(), reading, {}) == "write down"


def test_a_band_of_the_plate_is_named_with_its_limits():
    (fit,) = [fit for fit in base().parts["pump-motor"].fits if "brushless" in fit.item]
    tolerance = base().procedures["pump-checks"].tolerances["motor-current"]
    banded = dataclasses.replace(tolerance, bands=(dataclasses.replace(tolerance.bands[0], when=fit.when),))
    assert limits_text(base(), banded, {}) == "3 A to 6 A (Motor: Without brushes, Rated current: below 8 A)"


def test_a_part_is_that_for_the_unit():
    def parts(plate: dict) -> str:
        return re.search(r"2 × Pump motor[^<]*", render_card(base(), "pump-checks", Findings(plate=plate)))[0]

    assert parts({}) == "2 × Pump motor (demo motor, brushed or demo motor, brushless)"
    assert parts({"motor": "brushed"}) == "2 × Pump motor (demo motor, brushed)"


def test_a_gate_that_an_act_has_voided_is_asked_for_again():
    again = gates_again(base(), base().procedures["pump-checks"])
    assert {gid: gates for gid, gates in again.items() if gates} == {"pump-checks/replace-motor": ["12 V off"]}
    assert "Safety gate again: 12 V off" in Outline(render_card(base(), "pump-checks")).text


def test_after_firing_the_smell_of_gas_and_the_wait_are_asked_again_but_no_qualification():
    proof = gates_again(shipped(), shipped().procedures["burner-proof"])
    assert proof == {"burner-proof/burner-holds": [],
                     "burner-proof/lights-and-runs": ["No smell of gas", "Wait before lighting again"]}


def test_a_manometer_that_stays_on_is_not_connected_again():
    again = gates_again(shipped(), shipped().procedures["gas-pressure"])
    assert again["gas-pressure/pressure-fall"] == [
        "No smell of gas", "Manometer's connection tight", "Closed up and leak-checked", "Wait before lighting again"]
    assert "Closed up and leak-checked" in again["gas-pressure/all-burn-together"]


def test_a_pilot_needs_no_power_to_be_lit_and_voids_the_wait_all_the_same():
    again = gates_again(shipped(), shipped().procedures["pilot-and-thermocouple"])
    assert again["pilot-and-thermocouple/couple-look"] == [
        "Gas off at the cylinder", "Burner and flue cool", "No smell of gas"]
    assert "Wait before lighting again" in again["pilot-and-thermocouple/magnet-holds"]


def test_the_flue_and_the_alarm_are_asked_again_once_the_burner_was_uncovered():
    pilot = gates_again(shipped(), shipped().procedures["pilot-and-thermocouple"])
    assert "Flue open to the air, CO alarm live" in pilot["pilot-and-thermocouple/couple-millivolts"]
    assert "Flue open to the air, CO alarm live" not in pilot["pilot-and-thermocouple/magnet-holds"]
    proof = gates_again(shipped(), shipped().procedures["burner-proof"])
    assert "Flue open to the air, CO alarm live" not in proof["burner-proof/lights-and-runs"]


def test_after_the_mains_were_on_they_are_proved_dead_again():
    again = gates_again(shipped(), shipped().procedures["mains-supply-at-the-heater"])
    dead, live = "120 V off and proved dead", "Live 120 V is read with the hands out"
    assert again["mains-supply-at-the-heater/alone-on-the-feed"] == []
    assert again["mains-supply-at-the-heater/panel-look"] == [dead]
    assert again["mains-supply-at-the-heater/voltage-arrives"] == [live]
    assert again["mains-supply-at-the-heater/voltage-drop-at-element"] == [dead, live]
    assert again["mains-supply-at-the-heater/remake-mains-joint"] == [dead]


def test_after_a_remedy_its_proof_has_run_before_the_next_one():
    again = gates_again(shipped(), shipped().procedures["spark-electrode"])
    assert again["spark-electrode/set-tip-and-gap"] == ["12 V off"]
    assert again["spark-electrode/replace-electrode"] == [
        "Gas off at the cylinder", "Burner and flue cool", "No smell of gas", "12 V off"]


def section(document: str, heading: str) -> str:
    """The text of the one section with that heading."""
    (part,) = [part for part in re.findall(r"<section.*?</section>", document, re.DOTALL) if heading in part]
    return Outline(part).text


def test_a_remedy_names_its_proof_and_the_proof_its_gates():
    document = render_card(shipped(), "spark-electrode")
    assert "Proof A." in section(document, "Remedy: Fit a new spark and sense lead")
    asked = section(document, "Proof A: From a cold tank").split("Before the proof: ")[1].split(" No proof while")[0]
    assert asked == ("No smell of gas Water in the tank Closed up and leak-checked Flue open to the air, CO alarm live "
                     "Wait before lighting again Hot water scalds")


def test_a_proof_that_several_remedies_share_stands_once_and_one_of_the_card_names_its_check():
    document = render_card(shipped(), "leak-search")
    assert len(re.findall(r"Proof A: ", document)) == 1 and document.count("<b>Proof A.</b>") == 4
    assert section(document, "Proof A: ").startswith("Proof A: check 12 again.")


def test_a_card_says_what_must_be_shut_and_names_the_outermost_alone():
    document = render_card(shipped(), "pilot-gas-and-spark")
    shut = ["Manometer on the test port in front of the valve", "Manometer on the outlet port of the gas valve",
            "Burner compartment in reach", "Cover of thermostat and limit off"]
    assert f"Not while this is so: {'; '.join(shut)} " in Outline(document).text
    assert "No proof while this is so: Outside door of the heater open" in Outline(document).text
    assert "while this is so" not in render_card(shipped(), "run-against-need")


def test_what_must_be_shut_for_several_acts_is_listed_once():
    text = Outline(render_card(shipped(), "thermostat-and-eco")).text
    assert text.count("Cover of thermostat and limit off") == 1
    assert text.count("Not while anything named at check 7 is so") == 2


def test_checks_stand_in_the_order_of_the_text():
    headings = re.findall(r"<h3>(\d\. .*?)</h3>", render_card(base(), "pump-checks"))
    assert headings == ["1. Is there water in the tank?", "2. Do the lights burn as ever?",
                        "3. How much voltage is lost under load?", "4. What current does the motor draw?"]


def test_an_unknown_procedure_is_a_key_error():
    with pytest.raises(KeyError):
        render_card(base(), "nothing")
