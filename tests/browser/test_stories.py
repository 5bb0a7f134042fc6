"""Three jobs from the owner's words to the proof and the card, and one talk with an owner that ends in a truck list.

At every step page and command name the same acts, shares, minutes and reasons.
"""

from __future__ import annotations

import pytest

from .conftest import SHOTS, shoot
from .story import Story

pytestmark = [pytest.mark.browser, pytest.mark.site]
@pytest.fixture
def read_once(capsys, monkeypatch, knowledge):
    """What the command prints, with the shipped knowledge read once and not at each of a hundred steps."""
    monkeypatch.setattr("sparkgap.commands.guide.sound_knowledge", lambda root: knowledge)
    return capsys


JOBS = {
    "no-spark": ("no-ignition-attempt", "dc-ground-corroded", "demo-ten-gas-electric", "technician",
                 "Water heater does nothing on gas: no click, no spark, the lamp on the switch stays dark"),
    "gas-only": ("sparks-no-light", "burner-tube-web", "demo-twelve-gas-electric", "technician,gas-qualified",
                 "Electric side of the water heater works, but on gas it sparks and sparks and will not light"),
    "weeping": ("relief-valve-weeps", "air-cushion-lost", "demo-six-gas", "technician",
                "The relief valve on the outside of the water heater drips whenever it heats up"),
}


@pytest.mark.parametrize("name", sorted(JOBS))
def test_from_the_words_to_the_proof(name, new_page, address, read_once, knowledge) -> None:
    symptom, fault, unit, who, complaint = JOBS[name]
    story = Story(new_page("portrait", has_touch=True), read_once, knowledge, symptom, who)
    story.start(address, complaint, unit)
    result = story.play(fault, f"story-{name}")
    story.in_good_order()
    remedy = result["next"][0]
    assert remedy["kind"] == "remedy", remedy
    ends = next(one["ends"] for one in story.model["remedies"] if one["id"] == remedy["id"])
    assert fault in ends and result["belief"][fault] == max(result["belief"].values())
    story.repair(remedy["id"], f"story-{name}")
    story.card(complaint)


def test_danger_is_asked_before_anything_else_of_a_weeping_valve(new_page, address, read_once, knowledge) -> None:
    story = Story(new_page(), read_once, knowledge, "relief-valve-weeps")
    story.page.goto(f"{address}kb/symptoms/water-heating/relief-valve-weeps.html")
    assert story.ask()["next"][0]["id"] == "relief-valve-and-expansion/how-it-runs"
    story.answer("relief-valve-and-expansion/how-it-runs", "stream")
    story.ready()
    box = story.page.locator("[data-barred]").or_(story.page.locator(".next .stop-box")).first
    assert box.inner_text().startswith("Put this right first, then answer again")
    shoot(story.page, "story-barred")


@pytest.mark.parametrize("size", ["portrait", "landscape"])
def test_an_owner_on_the_phone_ends_in_the_truck_list(size, new_page, address, read_once, knowledge) -> None:
    page = new_page(size)
    story = Story(page, read_once, knowledge, "no-ignition-attempt", "owner")
    page.goto(f"{address}kb/symptoms/water-heating/no-ignition-attempt.html")
    page.click("#sg-phone")
    story.told = True
    for number in range(40):
        result = story.ask()
        if result["next"][0]["kind"] == "call":
            break
        gid = result["next"][0]["id"]
        check = story.checks[gid]
        assert check["who"] == []
        assert page.locator("#sg-ask").inner_text() == f"“{check['ask_owner']}”"
        if number == 3:
            shoot(page, f"story-phone-{size}-question")
        story.answer(gid, story.likely(gid, "limit-open"))
        assert page.locator(f"[data-found='{gid}'] b").inner_text().endswith("(told, not seen)")
    assert len(story.order) >= 4 and result["next"][0]["kind"] == "call"
    page.wait_for_selector("[data-next='call'].truck #sg-truck-copy")
    shoot(page, f"story-phone-{size}-truck", full_page=True)
    text = page.eval_on_selector("#sg-truck-text", "area => area.value")
    assert text == story.command("--truck", who="technician")
    loads = page.locator("[data-load]").evaluate_all("rows => rows.map(r => r.dataset.load)")
    assert "high-limit-disc" in loads or any("limit" in one for one in loads)
    assert "Let the owner read off:\n  Appliance\n" in text
    if size == "portrait":
        page.evaluate("document.documentElement.dataset.print = 'truck'")
        page.pdf(path=str(SHOTS / "story-phone-truck.pdf"))
        page.emulate_media(media="print")
        assert page.locator(".truck .load").first.is_visible() and not page.locator(".guide-side").is_visible()
