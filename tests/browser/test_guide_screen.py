"""The guide's screen: undo of any one finding, what is known already, the unit by taps, conclusions in plain words."""

from __future__ import annotations

import pytest

from .conftest import shoot
from .test_way import choose_unit, pass_gates

pytestmark = [pytest.mark.browser, pytest.mark.site]
FOLDER = "kb/symptoms/water-heating/"
BELIEF = "() => Sparkgap.guideNow.result.belief"


def opened(page, address: str, symptom: str, log: list[dict] | None = None, who: list[str] | None = None):
    """The page of a symptom, with a job of which so much is done."""
    page.goto(f"{address}{FOLDER}{symptom}.html")
    page.evaluate("([key, job, who]) => { Sparkgap.store.set(key, job); Sparkgap.store.set('who', who); }",
                  [f"job.{symptom}", {"log": log or [], "title": symptom}, who or ["technician"]])
    page.reload()
    ready(page)
    return page


def ready(page) -> None:
    page.wait_for_selector("#sg-guide[data-told='1']")


def said(gid: str, answer: str, **more) -> dict:
    return {"kind": "answer", "id": gid, "answer": answer, "v": {answer: 1}, **more}


def test_every_finding_can_be_undone_alone(new_page, address) -> None:
    log = [said("tank-and-bypass/bypass-position", "normal"),
           {"kind": "replaced", "part": "thermostat", "when": "for-this"},
           {"kind": "aside", "id": "first-look/other-source"},
           {"kind": "failed", "id": "burner-tube/sweep-tube"},
           {"kind": "answer", "id": "run-against-need/run-fits-tank", "v": {"below": 0.97, "within": 0.03},
            "answer": "below", "reading": "11 min"}, {"kind": "gate", "id": "no-gas-smell"}]
    page = opened(new_page(), address, "burner-quits-early", log)
    for name in ("tank-and-bypass/bypass-position", "thermostat", "first-look/other-source", "burner-tube/sweep-tube",
                 "run-against-need/run-fits-tank"):
        left = [entry for entry in log if name not in (entry.get("id"), entry.get("part"))]
        line = page.locator(f"[data-found='{name}']")
        assert line.locator("button").inner_text() == ("Ask again" if name == "first-look/other-source" else "Undo")
        line.locator("button").click()
        ready(page)
        now = page.evaluate(BELIEF)
        assert now == opened(new_page(), address, "burner-quits-early", left).evaluate(BELIEF)
        assert page.locator(f"[data-found='{name}']").count() == 0
        page = opened(page, address, "burner-quits-early", log)
    page.get_by_text("Safety gates that hold", exact=False).click()
    page.locator("[data-holds='no-gas-smell'] button").click()
    assert page.locator("[data-holds]").count() == 0


def test_what_was_set_aside_is_asked_again(new_page, address) -> None:
    page = opened(new_page(), address, "no-ignition-attempt")
    gid = page.locator("[data-next]").get_attribute("data-next")
    page.locator("#sg-aside").click()
    assert page.locator("[data-next]").get_attribute("data-next") != gid
    page.get_by_role("button", name="Ask again").click()
    assert page.locator("[data-next]").get_attribute("data-next") == gid


def test_any_check_can_be_told_before_its_turn(new_page, address) -> None:
    page = opened(new_page(), address, "no-ignition-attempt")
    page.locator("#sg-known > summary").click()
    page.fill("#sg-known-search", "voltage board")
    rows = page.locator(".known-list > li:visible")
    assert 1 <= rows.count() < page.locator(".known-list > li").count()
    gid = rows.first.get_attribute("data-check")
    rows.first.locator("summary").click()
    assert rows.first.locator("[data-part='value']").count() >= 1  # a value, or how it was
    before = page.evaluate(BELIEF)
    rows.first.locator("[data-known]").first.click()
    found = page.locator(f"[data-found='{gid}']")
    assert found.locator("b").inner_text().endswith("(told, not seen)")
    assert page.evaluate(BELIEF) != before
    page.fill("#sg-known-search", "zebra")
    assert page.locator(".known-list > li:visible").count() == 0
    shoot(page, "guide-known", full_page=True)


def test_the_plate_value_that_matters_most_is_one_tap(new_page, address) -> None:
    page = opened(new_page(), address, "pilot-will-not-hold")
    first = page.evaluate("() => Sparkgap.guideNow.sm.ask_first")
    assert page.locator(".which > .plate-ask [data-plate]").first.get_attribute("data-plate") == first
    assert not page.locator(".which details .plate-ask").first.is_visible()
    page.locator(".which > .plate-ask [data-value='pilot']").click()
    ready(page)
    assert page.evaluate("() => Sparkgap.plate.current().values")[first] == "pilot"
    assert first not in page.evaluate("() => Sparkgap.guideNow.result.missing")
    choose_unit(page, "demo-six-pilot")
    ready(page)
    page.evaluate("() => Sparkgap.plate.put('altitude', '5000 ft')")
    values = page.evaluate("() => Sparkgap.plate.current()")
    assert values["unit"] == "demo-six-pilot" and values["values"]["altitude"] == pytest.approx(1524)


def test_contradiction_names_the_least_fitting_finding(new_page, address) -> None:
    page = opened(new_page("landscape"), address, "no-ignition-attempt")
    gid = _contradict(page)
    box = page.locator("[data-conflict]")
    assert box.get_attribute("data-conflict") == gid
    assert page.evaluate("(gid) => Sparkgap.guideNow.view.checks[gid].ask", gid) in box.inner_text()
    shoot(page, "guide-conflict")
    box.get_by_role("button", name="Ask it again").click()
    assert page.locator("[data-next]").get_attribute("data-next") == gid
    page.locator("[data-conflict]").get_by_role("button", name="Undo just this").click()
    assert page.locator(f"[data-found='{gid}']").count() == 0


def _contradict(page) -> str:
    """Answer two checks that point to different causes until the engine says that they contradict each other."""
    log = page.evaluate("""() => {
      const { sm, evidence, result } = Sparkgap.guideNow;
      const open = sm.checks.filter((check) => !check.first);
      for (const one of open) for (const two of open) for (const a of one.answers) for (const b of two.answers) {
        if (one.id >= two.id) continue;
        const results = { [one.id]: { v: { [a]: 1 } }, [two.id]: { v: { [b]: 1 } } };
        if (Sparkgap.belief.conflict(sm, { ...evidence, results })) return [[one.id, a], [two.id, b]];
      }
      return [];
    }""")
    assert len(log) == 2
    opened(page, page.url.split("kb/")[0], "no-ignition-attempt", [said(*pair) for pair in log])
    return page.evaluate("() => Sparkgap.guideNow.result.conflict.gid")


def test_two_faults_are_named_with_what_would_separate_them(new_page, address) -> None:
    page = opened(new_page(), address, "no-ignition-attempt")
    log = page.evaluate("""() => {
      const { sm, evidence } = Sparkgap.guideNow;
      const open = sm.checks;
      const tries = [];
      for (const one of open) for (const a of one.answers) if (a !== one.clear) tries.push([one.id, a]);
      for (const one of tries) for (const two of tries) for (const three of tries) {
        if (!(one[0] < two[0] && two[0] < three[0])) continue;
        const results = Object.fromEntries([one, two, three].map(([id, a]) => [id, { v: { [a]: 1 } }]));
        if (Sparkgap.belief.twoFaults(sm, { ...evidence, results })) return [one, two, three];
      }
      return [];
    }""")
    assert len(log) == 3
    opened(page, address, "no-ignition-attempt", [said(*pair) for pair in log])
    pair = page.evaluate("() => Sparkgap.guideNow.result.two.pair")
    box = page.locator("[data-two]")
    assert box.get_attribute("data-two") == " ".join(pair)
    for name in pair:
        assert page.evaluate("(n) => Sparkgap.guideNow.words.faults[n]", name) in box.inner_text()
    assert box.locator("[data-separates]").count() or "No check that is left here tells them apart" in box.inner_text()
    shoot(page, "guide-two")


def test_normal_says_what_shows_it_and_what_to_tell(new_page, address) -> None:
    page = opened(new_page("landscape"), address, "burner-quits-early")
    choose_unit(page, "demo-twelve-gas-electric")
    ready(page)
    log = []
    for _ in range(60):  # a sound unit: each check in turn gives its clear answer
        kind, gid, answer = page.evaluate("""() => {
          const { result, sm } = Sparkgap.guideNow, next = result.next[0];
          const check = sm.checks.find((one) => one.id === next.id);
          const row = check && Sparkgap.belief.row(check, "normal");
          return [next.kind, next.id, check && check.answers[row.indexOf(Math.max(...row))]]; }""")
        if kind != "check":
            break
        log.append(said(gid, answer))
        opened(page, address, "burner-quits-early", log, ["technician", "gas-qualified", "electrical-qualified"])
    assert kind == "normal", (kind, gid, [entry["id"] for entry in log])
    card = page.locator("[data-next='normal']")
    assert "Normal: no part is needed" in card.inner_text() and "Say to the owner" in card.inner_text()
    assert card.locator("li").count() >= 1
    shoot(page, "guide-normal", full_page=True)


def test_not_sure_says_what_stays_shut_and_whom_to_call(new_page, address) -> None:
    page = opened(new_page(), address, "sparks-no-light")
    for _ in range(40):
        if page.locator("[data-next='call']").count():
            break
        page.locator("#sg-aside").click()
    card = page.locator("[data-next='call']")
    text = card.inner_text()
    assert text.index("Leave shut") < text.index("Call\n") < text.index("Tell them")
    assert "every cylinder valve shut" in text and "Likeliest so far: " in text
    shoot(page, "guide-call", full_page=True)


def test_minutes_are_told_for_the_job_and_for_each_cause(new_page, address) -> None:
    page = opened(new_page(), address, "no-ignition-attempt")
    told = page.evaluate("() => Sparkgap.guideNow.told")
    assert page.locator(".stay-line").inner_text().startswith(f"About {int(told['minutes'] + 0.5)} min at the unit")
    for name, course in told["courses"].items():
        stay = page.locator(f"[data-cause='{name}'] .stay").text_content()
        assert stay == (f"{int(course['minutes'] + 0.5)} min" if course["end"] == "proved" else "")
    opened(page, address, "no-ignition-attempt", None, ["owner"])
    assert page.evaluate("() => Sparkgap.guideNow.told.minutes") is None
    assert not page.locator(".stay-line").is_visible()


@pytest.mark.parametrize("size", ["portrait", "landscape", "phone"])
@pytest.mark.parametrize("talking", [False, True])
def test_targets_are_large_and_nothing_overflows(new_page, address, size, talking) -> None:
    page = opened(new_page(size), address, "no-ignition-attempt")
    if talking:
        page.click("#sg-phone")
    page.locator("#sg-known > summary").click()
    page.locator(".which summary").click()
    pass_gates(page)
    ready(page)
    width = page.viewport_size["width"]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.eval_on_selector_all("#sg-guide :is(button, select, input:not([type=checkbox]), summary, .tick)",
                                      """all => all.filter((e) => e.offsetParent)
                                         .filter((e) => e.getBoundingClientRect().height < 47.5)
                                         .map((e) => e.outerHTML.slice(0, 90))""")
    assert small == []
    shoot(page, f"guide-{'phone' if talking else 'work'}-{size}", full_page=True)
