"""The way of a technician: complaint, symptom, guide, reading, repair, printed card."""

from __future__ import annotations

import re

import pytest

from .conftest import SIZES, shoot

pytestmark = [pytest.mark.browser, pytest.mark.site]
SYMPTOM = "kb/symptoms/water-heating/burner-quits-early.html"
COMPLAINT = "it runs eleven minutes on gas and quits, I already changed the thermostat, what else do I replace?"


def shares(page: object) -> dict[str, str]:
    """The causes with their shares, as shown."""
    return dict(page.eval_on_selector_all(
        ".gauge", "rows => rows.map(r => [r.dataset.cause, r.querySelector('.num').lastChild.textContent])"))


def fills(page: object) -> dict[str, float]:
    """How far each bar is drawn, once it has stopped moving."""
    page.wait_for_timeout(800)
    return dict(page.eval_on_selector_all(".gauge", """rows => rows.map(r => [r.dataset.cause,
        new DOMMatrix(getComputedStyle(r.querySelector('.fill')).transform).a])"""))


def pass_gates(page: object) -> None:
    """Pass every gate of the check that is shown."""
    while page.locator("[data-pass]").count():
        page.locator("[data-pass]").first.click()


def choose_unit(page: object, unit: str) -> None:
    """Take a shipped unit in the bar."""
    page.click("#sg-plate-open")
    page.select_option("#sg-unit", unit)
    page.click("#sg-plate-open")


def test_from_complaint_to_card(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address)
    page.fill("#sg-words", COMPLAINT)
    first = page.locator(".ranked a").first
    first.wait_for()
    assert first.get_attribute("href") == SYMPTOM
    assert page.locator(".emergency-banner").count() == 0
    shoot(page, "way-1-front")
    first.click()
    page.wait_for_selector(".gauge")
    choose_unit(page, "demo-twelve-gas-electric")
    before, drawn = shares(page), fills(page)
    page.locator("[data-instead='tank-and-bypass/bypass-position']").or_(
        page.locator("[data-next='tank-and-bypass/bypass-position']")).first.click()
    page.wait_for_selector("[data-next='tank-and-bypass/bypass-position']")
    pass_gates(page)
    good = page.locator(".choice.good")
    answer = good.locator("span").first.inner_text()
    good.click()
    page.wait_for_selector("[data-found='tank-and-bypass/bypass-position']")
    after, moved = shares(page), fills(page)
    assert moved["tank-bypassed"] < drawn["tank-bypassed"] / 5
    assert moved["burner-tube-web"] > drawn["burner-tube-web"]
    assert set(after) == set(before) and abs(sum(moved.values()) - 1) < 1e-6
    shoot(page, "way-2-guide")
    page.goto(address + "procedures/water-heating/tank-and-bypass.html#found=burner-quits-early")
    page.emulate_media(media="print")
    box = page.locator(".card [data-check='tank-and-bypass/bypass-position'] li", has_text=answer)
    assert box.locator(".card-ticked").inner_text() == "✓"
    assert "Demo twelve" in page.locator("[data-card='unit']").inner_text()
    assert page.locator("[data-card='complaint']").inner_text() == COMPLAINT
    assert page.locator(".card-found h2").text_content().startswith("Found so far: Burner runs for minutes")
    assert not page.locator("header.top").is_visible() and not page.locator("article.doc").is_visible()
    assert page.locator(".card-sign").is_visible()
    shoot(page, "way-3-card", full_page=True)


def test_undo_brings_the_shares_back(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address + SYMPTOM)
    page.wait_for_selector(".gauge")
    before = shares(page)
    page.locator("#sg-aside").click()
    assert shares(page) == before
    page.locator("[data-instead^='first-look/']").first.click()
    pass_gates(page)
    page.locator(".choice:visible").first.click()
    page.wait_for_function("document.querySelectorAll('[data-found]').length === 2")
    assert shares(page) != before
    for _ in range(2):
        page.locator("[data-found] button").first.click()
    page.wait_for_selector("[data-found]", state="detached")
    assert shares(page) == before


def test_what_was_found_outlives_the_page(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address + SYMPTOM)
    page.locator("#sg-aside").click()
    found = page.locator("[data-found]").inner_text()
    page.reload()
    assert page.locator("[data-found]").inner_text() == found


def test_answers_wait_for_the_gates(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address + SYMPTOM)
    page.wait_for_selector(".gauge")
    for _ in range(12):
        if page.locator("[data-pass]").count():
            break
        page.locator("#sg-aside").click()
    choice = page.locator(".next .choices button").first
    assert choice.is_disabled()
    page.get_by_role("button", name="Does not hold").first.click()
    assert page.locator(".gate-list .failed:visible").inner_text().startswith("Not done then. ")
    pass_gates(page)
    assert choice.is_enabled()


def test_an_emergency_comes_before_every_symptom(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address)
    page.fill("#sg-words", "water heater quits and I smell gas")
    banner = page.locator(".emergency-banner")
    banner.first.wait_for()
    assert banner.first.evaluate("(b) => b.compareDocumentPosition(document.getElementById('sg-ranked'))") == 4
    shoot(page, "emergency")
    banner.first.click()
    assert page.url.startswith(address + "kb/stop.html#emergency-")
    page.locator(":target h2").wait_for()


def test_a_reading_near_its_limit_is_too_close_to_call(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address + "procedures/water-heating/flame-sense.html")
    choose_unit(page, "demo-twelve-gas-electric")
    check = page.locator("article[data-check='flame-sense/flame-current']")
    value, box = check.locator("[data-part='value']"), check.locator(".verdict")
    verdicts = {}
    for text in ("0.5", "1.01", "3"):
        value.fill(text)
        verdicts[text] = box.locator("b").inner_text()
    assert verdicts == {"0.5": "Below the limit", "1.01": "Too close to call with this tool", "3": "Within the limit"}
    assert check.locator(".answer.chosen").get_attribute("data-answer") == "within"
    page.evaluate("Sparkgap.store.remove('plate')")
    page.reload()
    value.fill("3")
    assert box.locator("b").inner_text() == "Not judged: the limit depends on the unit"


def test_a_calculator_follows_the_plate_and_the_typing(new_page: object, address: str) -> None:
    page = new_page()
    page.goto(address + "kb/calculators/tank-heat-up.html")
    result = page.locator("[data-output='heat_up_time']")
    assert result.inner_text() == "49.9 min"
    choose_unit(page, "demo-six-gas")
    assert result.inner_text() == "25 min"
    page.fill("[data-input='input']", "6000")
    assert result.inner_text() == "49.9 min"
    page.fill("[data-input='input']", "a lot")
    assert (result.inner_text(), page.locator("[data-wrong='input']").inner_text()[:7]) == ("–", '"a lot"')


def test_without_script_the_pages_are_text(new_page: object, address: str) -> None:
    page = new_page(java_script_enabled=False)
    page.goto(address + SYMPTOM)
    assert page.locator(".steps > .step").count() >= 5 and page.locator(".steps h3").first.is_visible()
    assert page.locator(".causes li").first.is_visible() and not page.locator("#sg-guide").is_visible()
    page.goto(address + "kb/stop.html")
    assert page.locator(".emergency ol").first.is_visible()
    page.goto(address + "kb/calculators/tank-heat-up.html")
    assert page.locator("table.inputs").is_visible() and not page.locator(".calc-form").is_visible()
    shoot(page, "no-script")


def test_the_site_works_from_a_folder(new_page: object, folder: object) -> None:
    page = new_page()
    page.goto((folder / "index.html").as_uri())
    page.fill("#sg-words", COMPLAINT)
    page.locator(".ranked a").first.click()
    page.wait_for_selector(".gauge")
    assert page.locator("#sg-ask").inner_text() != ""


def test_a_browser_that_refuses_to_keep_data_is_told_of(new_page: object, address: str) -> None:
    page = new_page()
    page.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }")
    page.goto(address + SYMPTOM)
    page.locator("#sg-aside").click()
    assert page.locator("[data-found]").count() == 1
    assert "refuses to keep data" in page.locator(".storage-note").inner_text()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", [
    "index.html", SYMPTOM, "procedures/water-heating/flame-sense.html", "kb/stop.html",
    "kb/calculators/tank-heat-up.html", "kb/parts.html", "kb/tolerances.html", "kb/sources.html"])
def test_pages_fit_and_targets_are_large(new_page: object, address: str, size: str, name: str) -> None:
    page = new_page(size)
    page.goto(address + name)
    page.wait_for_timeout(200)
    shoot(page, f"{re.sub('[/.]', '-', name)}-{size}")
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    small = page.eval_on_selector_all(
        "button, select, input:not([type=checkbox]), textarea, summary, .tick, nav a, .top a, .tile, .tags a",
        """all => all.filter(e => e.offsetParent && e.getBoundingClientRect().height < 47.5)
            .map(e => e.outerHTML.slice(0, 90))""")
    assert small == []


@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_both_schemes_are_drawn(new_page: object, address: str, scheme: str) -> None:
    page = new_page(color_scheme=scheme)
    page.goto(address + SYMPTOM)
    page.wait_for_selector(".gauge")
    shoot(page, f"scheme-{scheme}")
    background = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert background == {"dark": "rgb(20, 18, 15)", "light": "rgb(243, 239, 230)"}[scheme]
