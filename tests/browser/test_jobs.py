"""Jobs on the device: kept at every change, handed on as files, and never lost without a word."""

from __future__ import annotations

import base64
import io
import json
import re
import time

import pytest
from PIL import Image
from playwright.sync_api import Error
from sparkgap.cli import main
from sparkgap.diagnosis.calculators import plate_calculators
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.guide import guide
from sparkgap.jobs.file import MAX_BYTES, read_job, write_job
from sparkgap.jobs.replay import replay

from tests.jobs.jobs import AT, answer, job

from .conftest import SIZES, shoot
from .test_way import choose_unit, shares

pytestmark = [pytest.mark.browser, pytest.mark.site]
SYMPTOM = "burner-quits-early"
PAGE = f"kb/symptoms/water-heating/{SYMPTOM}.html"
JOBS = "kb/jobs.html"
UNIT = "demo-twelve-gas-electric"
PATIENCE = 20  # seconds
CURRENT = "() => Sparkgap.jobs.current() && Sparkgap.jobs.current().job"
BELIEF = """() => {
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  const model = read("sg-model"), view = read("sg-view");
  const { evidence } = Sparkgap.job.fold(Sparkgap.job.load(view.symptom), model, view);
  const calculators = Object.fromEntries(Object.entries(Sparkgap.calculators).map(([id, one]) =>
    [id, (values) => one.run(Sparkgap.formulas.fromPlate(one, values))]));
  return Sparkgap.plan.guide(model, Sparkgap.plate.current().values, evidence, calculators).belief;
}"""
FULL = """Storage.prototype.setItem = function () { throw new DOMException("full", "QuotaExceededError"); };"""


def open_guide(page, address: str) -> None:
    """The guide of the symptom."""
    page.goto(address + PAGE)
    page.wait_for_selector(".gauge")


def find(page, gid: str, name: str) -> None:
    """Answer a check through the job itself: which checks are on offer is the plan's business."""
    page.evaluate("""([symptom, gid, name]) => {
      const held = Sparkgap.job.load(symptom);
      held.log.push({ kind: "answer", id: gid, answer: name, v: { [name]: 1 } });
      Sparkgap.job.save(symptom, held);
    }""", [SYMPTOM, gid, name])
    page.reload()
    page.wait_for_selector(f"[data-found='{gid}']")


def until(page, expression: str) -> None:
    """Wait for an expression to hold. The browser's own waiting evaluates text, which the pages forbid."""
    end = time.monotonic() + PATIENCE
    while not _now(page, expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(50)


def _now(page, expression: str) -> bool:
    try:
        return page.evaluate(expression)
    except Error as error:
        if "Execution context was destroyed" in error.message or "Sparkgap is not defined" in error.message:
            # the page is being loaded anew
            return False
        raise


def current(page) -> dict:
    return page.evaluate(CURRENT)


def stored(page) -> list[dict]:
    """All jobs as the browser keeps them."""
    return page.evaluate("Sparkgap.jobs.all().map((one) => one.job)")


def as_file(one: dict, name: str = "a.job.json") -> dict:
    data = one if isinstance(one, bytes) else write_job(one)
    return {"name": name, "mimeType": "application/json", "buffer": data}


def bring(page, address: str, data, name: str = "a.job.json") -> str:
    """Bring in a file on the jobs page; what the page says of it."""
    if JOBS not in page.url:
        page.goto(address + JOBS)
    page.wait_for_selector("#sg-import", state="attached")
    page.set_input_files("#sg-import", as_file(data, name), timeout=60_000)
    page.wait_for_selector("#sg-jobs-said p, .job-ask")
    return page.locator("#sg-jobs-said").inner_text()


def exported(page, row, tmp_path):
    """The file that a row's button hands over."""
    with page.expect_download() as download:
        row.get_by_role("button", name="Export", exact=True).click()
    path = tmp_path / download.value.suggested_filename
    download.value.save_as(path)
    return path


def rows(page):
    return page.locator(".job-row")


def more(row, name: str) -> None:
    row.locator(".job-more summary").click()
    row.get_by_role("button", name=name, exact=True).click()


# ---- kept ----


def test_looking_begins_no_job_and_a_finding_does(new_page, address) -> None:
    page = new_page(has_touch=True)
    page.goto(address)
    page.fill("#sg-words", "runs and quits")
    until(page, "Sparkgap.store.get('complaint') === 'runs and quits'")
    open_guide(page, address)
    assert stored(page) == [] and page.locator("#sg-job").inner_text() == ""
    choose_unit(page, UNIT)
    page.click("#sg-aside")
    (one,) = stored(page)
    assert (one["complaint"], one["symptom"], one["unit"]["id"]) == ("runs and quits", SYMPTOM, UNIT)
    assert one["unit"]["plate"]["ignition"] == "direct-spark" and len(one["knowledge"]) == 16
    assert [entry["kind"] for entry in one["log"]] == ["aside"]
    assert "Demo twelve" in page.locator("#sg-job-pick option:checked").inner_text()


def test_a_page_that_is_killed_loses_nothing(new_page, address) -> None:
    page = new_page()
    open_guide(page, address)
    choose_unit(page, UNIT)
    page.click("#sg-aside")
    before, plate = page.locator("[data-found]").inner_text(), page.locator("#sg-plate").inner_text()
    context = page.context
    page.close(run_before_unload=False)
    page = context.new_page()
    page.goto(address + PAGE)
    assert page.locator("[data-found]").inner_text() == before
    assert page.locator("#sg-plate").inner_text() == plate


def test_gates_and_readings_are_signed_and_carry_all_that_was_seen(new_page, address) -> None:
    page = new_page()
    open_guide(page, address)
    choose_unit(page, UNIT)
    page.click("#sg-aside")
    page.fill("#sg-initials", "A.B.")
    page.press("#sg-initials", "Tab")
    page.wait_for_selector("#sg-initials", state="detached")
    result = page.evaluate("""() => {
      const view = JSON.parse(document.getElementById("sg-view").textContent);
      const plain = ({ measure }) => measure && measure.limit && !measure.judged && measure.readings[0].tool &&
        measure.limit.bands.every((band) => !band.when.length && (band.low !== null || band.high !== null));
      const [gid, check] = Object.entries(view.checks).find(([, one]) => plain(one));
      let told = null;
      const form = Sparkgap.reading.form(check.measure, (result) => { told = result; });
      document.body.append(form);
      const field = form.querySelector("[data-part=value]");
      field.value = "1";
      field.dispatchEvent(new Event("input", { bubbles: true }));
      return { gid, told };
    }""")
    (reading,) = result["told"]["readings"]
    assert set(reading) == {"name", "value", "text", "tool"} and reading["tool"]
    page.evaluate("""([gid, told]) => {
      const held = Sparkgap.job.load("burner-quits-early");
      held.log.push({ kind: "gate", id: "burner-cool" });
      held.log.push({ kind: "answer", id: gid, v: Sparkgap.verdict.evidence(told), readings: told.readings,
        verdict: told.verdict, within: told.v_within, hearsay: false,
        answer: told.verdict === "too-close" ? "" : told.verdict });
      Sparkgap.job.save("burner-quits-early", { ...held, belief: { normal: 0.25, other: 0.75 } });
    }""", [result["gid"], result["told"]])
    gate, entry = current(page)["log"][-2:]
    assert gate == {"kind": "gate", "at": gate["at"], "by": "A.B.", "id": "burner-cool"}
    assert entry["by"] == "A.B." and entry["readings"] == [reading] and "hearsay" not in entry
    assert entry["verdict"] in {"below", "within", "above", "too-close"} and 0 <= entry["within"] <= 1
    assert entry["shares"] == {"normal": 0.25, "other": 0.75}
    write_job(current(page))


def test_the_clock_runs_on_through_a_reload_and_is_put_right_by_hand(new_page, address) -> None:
    page = new_page()
    page.clock.install()
    open_guide(page, address)
    page.click("#sg-aside")
    page.select_option("#sg-job-clock", "find")
    page.clock.fast_forward("12:00")
    page.reload()
    page.wait_for_selector("#sg-job-clock")
    assert page.locator("#sg-job-clock option:checked").inner_text().startswith("Finding 12 min")
    page.select_option("#sg-job-clock", "repair")
    assert current(page)["minutes"]["find"] == pytest.approx(12, abs=0.3)
    page.goto(address + JOBS)
    page.fill("[data-minutes='find']", "20,5")
    page.press("[data-minutes='find']", "Tab")
    page.fill("[data-minutes='travel']", "half an hour")
    page.press("[data-minutes='travel']", "Tab")
    assert current(page)["minutes"]["find"] == 20.5 and "travel" not in current(page)["minutes"]


def test_the_sheet_is_kept_as_it_is_typed(new_page, address) -> None:
    page = new_page("portrait", has_touch=True)
    open_guide(page, address)
    page.click("#sg-aside")
    page.evaluate("""() => {
      const held = Sparkgap.job.load("burner-quits-early");
      held.log.push({ kind: "done", id: "burner-tube/sweep-tube" });
      Sparkgap.job.save("burner-quits-early", held);
    }""")
    page.goto(address + JOBS)
    hostile = "<img src=x onerror=alert(1)>"
    for path, text in (("complaint", "quits"), ("number", "7-12"), ("owner.name", hostile), ("unit.serial", "S1")):
        page.fill(f"[data-field='{path}']", text)
    page.fill("[data-fitted='1']", "2 × hose, clamp")
    page.fill("[data-removed='1']", "cracked hose")
    page.fill("#sg-note", hostile)
    page.get_by_role("button", name="Add the note").click()
    page.reload()
    one = current(page)
    assert (one["complaint"], one["number"]) == ("quits", "7-12")
    assert (one["owner"]["name"], one["unit"]["serial"]) == (hostile, "S1")
    assert [(two["item"], two["count"]) for two in one["log"][1]["fitted"]] == [("hose", 2), ("clamp", 1)]
    assert one["log"][1]["removed"] == "cracked hose"
    assert one["log"][2]["text"] == hostile and hostile in page.locator("[data-entry='2']").inner_text()
    assert page.locator("#sg-jobs img").count() == 0
    assert "stays on this device" in page.locator("#sg-sheet").inner_text()
    write_job(one)
    shoot(page, "jobs-sheet", full_page=True)


# ---- the list ----


def test_two_jobs_keep_apart_and_the_bar_switches(new_page, address) -> None:
    page = new_page("portrait", has_touch=True)
    open_guide(page, address)
    choose_unit(page, UNIT)
    page.click("#sg-aside")
    first = current(page)["id"]
    page.get_by_role("button", name="New job").click()
    page.wait_for_selector("#sg-words")
    open_guide(page, address)
    assert page.locator("[data-found]").count() == 0 and "No unit chosen" in page.locator("#sg-plate").inner_text()
    choose_unit(page, "demo-six-gas")
    page.click("#sg-aside")
    page.click("#sg-aside")
    assert len({first, current(page)["id"]}) == 2 and page.locator("[data-found]").count() == 2
    with page.expect_navigation():
        page.select_option("#sg-job-pick", first)
    page.wait_for_selector(".gauge")
    assert page.locator("[data-found]").count() == 1 and "Demo twelve" in page.locator("#sg-plate").inner_text()
    page.goto(address + JOBS)
    assert rows(page).count() == 2 and page.locator(f".in-hand[data-job='{first}']").count() == 1
    shoot(page, "jobs-two", full_page=True)


def test_words_for_another_job_are_not_mixed_into_the_one_in_hand(new_page, address) -> None:
    page = new_page()
    page.goto(address)
    page.fill("#sg-words", "runs and quits")
    until(page, "Sparkgap.store.get('complaint') === 'runs and quits'")
    open_guide(page, address)
    page.click("#sg-aside")
    page.goto(address)
    page.fill("#sg-words", "no hot water at all")
    page.get_by_role("button", name="New job with these words").click()
    until(page, "Boolean(Sparkgap.jobs) && Sparkgap.jobs.all().length === 2")
    page.wait_for_load_state()
    assert sorted(one["complaint"] for one in stored(page)) == ["no hot water at all", "runs and quits"]
    assert current(page)["complaint"] == "no hot water at all" and current(page)["log"] == []


def test_a_job_is_closed_opened_doubled_begun_again_and_deleted(new_page, address, tmp_path) -> None:
    page = new_page("portrait", has_touch=True)
    bring(page, address, job(answer("first-look/relights", "at-once"), complaint="quits"))
    row = rows(page).first
    row.get_by_role("button", name="Close", exact=True).click()
    page.get_by_role("button", name="Close the job").click()
    assert page.locator(".job-ask .wrong").inner_text() == "Say how it ended."
    page.check("input[value='left-off']")
    page.get_by_role("button", name="Close the job").click()
    assert "A red tag says why" in page.locator(".job-ask .wrong").inner_text()
    for name, text in (("why", "leaks"), ("shut", "cylinder"), ("before", "new valve")):
        page.fill(f".job-ask [name='{name}']", text)
    shoot(page, "jobs-close", full_page=True)
    page.get_by_role("button", name="Close the job").click()
    (one,) = stored(page)
    assert one["outcome"]["red_tag"] == {"why": "leaks", "shut": "cylinder", "before": "new valve"} and one["closed"]
    assert "Left shut off, red tag" in rows(page).first.inner_text()
    write_job(one)
    rows(page).first.get_by_role("button", name="Open again").click()
    one = current(page)
    assert (one["closed"], one["outcome"]) == (None, None)
    assert one["log"][-1]["text"].endswith("Left shut off, red tag")
    more(rows(page).first, "Duplicate")
    assert rows(page).count() == 2
    assert [len(one["log"]) for one in stored(page)] == [2, 2] and len({one["id"] for one in stored(page)}) == 2
    more(page.locator(".job-row[data-job='demo-job-0001']"), "Start again")
    assert rows(page).count() == 3 and current(page)["log"] == [] and current(page)["complaint"] == "quits"
    more(page.locator(".job-row[data-job='demo-job-0001']"), "Delete")
    said = page.locator(".job-ask").inner_text()
    assert "cannot be undone" in said and "2 entries, 0 photos, 0 minutes" in said
    with page.expect_download() as download:
        page.get_by_role("button", name="Export it first").click()
    download.value.save_as(tmp_path / "kept.job.json")
    assert read_job(tmp_path / "kept.job.json")["id"] == "demo-job-0001"
    page.get_by_role("button", name="Keep it").click()
    assert rows(page).count() == 3
    more(page.locator(".job-row[data-job='demo-job-0001']"), "Delete")
    page.get_by_role("button", name="Delete it for good").click()
    until(page, "Sparkgap.jobs.all().length === 2")
    assert "demo-job-0001" not in {one["id"] for one in stored(page)}


# ---- files ----


def test_an_exported_job_says_the_same_here_there_and_to_the_commands(
        new_page, address, tmp_path, knowledge, capsys) -> None:
    page = new_page()
    open_guide(page, address)
    choose_unit(page, UNIT)
    page.click("#sg-aside")
    find(page, "first-look/relights", "at-once")
    find(page, "tank-and-bypass/bypass-position", "normal")
    page.get_by_text("Parts already replaced", exact=True).click()
    page.select_option("#sg-part", "thermostat")
    page.get_by_role("button", name="Add", exact=True).click()
    page.wait_for_selector("[data-found='thermostat']")
    here, shown, mine = page.evaluate(BELIEF), shares(page), current(page)
    page.goto(address + JOBS)
    path = exported(page, rows(page).first, tmp_path)
    assert re.fullmatch(r"demo-twelve-gas-and-electric-burner-quits-early-[0-9-]{10}\.job\.json", path.name)
    read = read_job(path)
    assert read == {**mine, "photos": []}
    told = replay(knowledge, read)
    assert told.unknown == []
    model = compile_symptom(knowledge, SYMPTOM)
    python = guide(model, told.plate, told.evidence, plate_calculators(knowledge))["belief"]
    found = [f"{gid}={one['answer']}" for gid, one in told.entries.items() if one["kind"] == "answer"]
    aside = ["--aside", *told.evidence["aside"]] if told.evidence["aside"] else []
    said = ["--unit", UNIT, "--found", *found, "--replaced", "thermostat", *aside]
    assert main(["guide", SYMPTOM, "--json", *said]) == 0
    command = json.loads(capsys.readouterr().out)["belief"]
    other = new_page()
    assert "On this device now: " in bring(other, address, path.read_bytes())
    with other.expect_navigation():
        rows(other).first.get_by_role("button", name="Take in hand").click()
    open_guide(other, address)
    there = other.evaluate(BELIEF)
    assert set(here) == set(python) == set(command) == set(there)
    for name, share in here.items():
        assert python[name] == pytest.approx(share, abs=1e-9) and command[name] == pytest.approx(share, abs=1e-9)
        assert there[name] == share
    assert shares(other) == shown and current(other) == mine


def _edited(**keys) -> bytes:
    return json.dumps(job(**keys)).encode()


PHOTO = {"name": "tube.jpg", "at": AT, "says": "web", "width": 2, "height": 2,
         "data": "data:image/jpeg;base64,/9j/4AAQ"}
HOSTILE = {
    "too large": (b" " * (MAX_BYTES + 1), "larger than 8 MB"),
    "another version": (_edited(version=7), "version 7 of the format"),
    "cut off": (write_job(job())[:-30], "cut off or no JSON"),
    "no text": (b"\xff\xfe\x00", "not UTF-8"),
    "no job": (b'{"a": 1}', "not a job file"),
    "a path": (_edited(photos=[{**PHOTO, "name": "../../x.jpg"}]), "photos.0.name"),
    "a drawing": (_edited(photos=[{**PHOTO, "data": "data:image/svg+xml;base64,AAAA"}]), "photos.0.data"),
    "a key twice": (b'{"format": "sparkgap-job", "format": "sparkgap-job"}', "stands twice"),
    "no bytes": (b"", "cut off or no JSON"),
}


def test_files_that_are_no_sound_job_are_refused_with_words(new_page, address) -> None:
    page = new_page()
    page.goto(address + JOBS)
    page.wait_for_selector("#sg-import", state="attached")
    told = {name: bring(page, address, data, "<b>x</b>.job.json") for name, (data, _) in HOSTILE.items()}
    assert [name for name, (_, words) in HOSTILE.items() if words not in told[name]] == []
    assert all(text.startswith("<b>x</b>.job.json: ") and "Nothing was taken" in text for text in told.values())
    assert stored(page) == [] and page.locator("#sg-jobs-said b").count() == 0


def test_script_in_a_sound_file_is_shown_as_text(new_page, address) -> None:
    page = new_page()
    bad = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    bring(page, address, job({"kind": "note", "text": bad}, complaint=bad, number="<i>9</i>", technician=bad,
                             owner={"name": bad}, unit={"id": None, "title": bad, "plate": {}}, photos=[PHOTO]))
    with page.expect_navigation():
        rows(page).first.get_by_role("button", name="Take in hand").click()
    page.wait_for_selector("[data-photo='tube.jpg'] img", state="attached")
    assert bad in rows(page).first.inner_text()
    assert page.locator("#sg-jobs script, #sg-jobs i, #sg-job i, #sg-jobs img:not([data-photo] img)").count() == 0


def test_a_job_that_is_here_already_is_asked_about(new_page, address) -> None:
    page = new_page()
    bring(page, address, job(complaint="first", photos=[PHOTO]))
    newer = job(complaint="second", changed="2026-04-01T00:00:00Z")
    bring(page, address, newer)
    assert "already" in page.locator(".job-ask").inner_text() and "newer" in page.locator(".job-ask").inner_text()
    page.get_by_role("button", name="Leave the file").click()
    assert [one["complaint"] for one in stored(page)] == ["first"]
    bring(page, address, newer)
    page.get_by_role("button", name="Keep both").click()
    until(page, "Sparkgap.jobs.all().length === 2")
    bring(page, address, newer)
    page.get_by_role("button", name="Put the file in its place").click()
    until(page, "Sparkgap.jobs.all().every((one) => one.job.complaint === 'second')")
    assert len(stored(page)) == 2


# ---- photos ----


def picture(size: tuple[int, int], **options) -> bytes:
    """A picture of noise, which no encoder makes small."""
    made = io.BytesIO()
    Image.effect_noise(size, 90).convert("RGB").save(made, "JPEG", quality=92, **options)
    return made.getvalue()


def with_place() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 6  # lies on its side
    exif[0x010F] = "DEMOCAMERA"
    exif.get_ifd(0x8825).update({1: "N", 2: (47.0, 30.0, 0.0), 3: "E", 4: (8.0, 15.0, 0.0)})
    data = picture((1600, 900), exif=exif)
    assert b"DEMOCAMERA" in data and Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)
    return data


def test_a_photo_is_kept_small_upright_and_without_its_place(new_page, address, tmp_path) -> None:
    page = new_page("portrait", has_touch=True)
    open_guide(page, address)
    page.click("#sg-aside")
    page.goto(address + JOBS)
    page.set_input_files("#sg-photo", [
        {"name": "../tube & web.jpeg", "mimeType": "image/jpeg", "buffer": with_place()},
        {"name": "letter.jpg", "mimeType": "image/jpeg", "buffer": b"no picture at all"},
        {"name": "drawing.svg", "mimeType": "image/svg+xml", "buffer": b"<svg xmlns='http://www.w3.org/2000/svg'/>"},
        {"name": "wide.png", "mimeType": "image/png",
         "buffer": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + (60000).to_bytes(4, "big") * 2 + b"\x08\x02\x00\x00\x00"},
        {"name": "film.jpg", "mimeType": "image/jpeg", "buffer": b"\xff\xd8" + b"\0" * (25 * 1024 * 1024)},
    ], timeout=60_000)
    page.wait_for_selector("#sg-photo-said p:nth-child(4)", timeout=60_000)
    said = page.locator("#sg-photo-said p").all_inner_texts()
    assert [text.split(":")[0] for text in said] == ["letter.jpg", "drawing.svg", "wide.png", "film.jpg"]
    assert "no picture that this browser can read" in said[0] and "120 million pixels" in said[2] and "25 MB" in said[3]
    page.wait_for_selector("[data-photo] img")
    page.fill("[data-photo] input", "web in the tube")
    shoot(page, "jobs-photo", full_page=True)
    assert "data" not in current(page)["photos"][0]
    page.reload()
    page.wait_for_selector("[data-photo] img")
    (one,) = read_job(exported(page, rows(page).first, tmp_path))["photos"]
    data = base64.b64decode(one["data"].split(",")[1])
    assert len(data) <= 150 * 1024 and b"DEMOCAMERA" not in data and b"Exif" not in data
    drawn = Image.open(io.BytesIO(data))
    assert not drawn.getexif() and drawn.size == (one["width"], one["height"]) and drawn.height > drawn.width
    assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]*\.jpg", one["name"]) and one["says"] == "web in the tube"
    page.evaluate("Sparkgap.jobPhotos.remove(Sparkgap.jobs.current().job.id)")
    with page.expect_download():
        rows(page).first.get_by_role("button", name="Export", exact=True).click()
    page.wait_for_selector("#sg-jobs-said p:nth-child(2)")
    assert "Not in the file, because it is not on this device any more" in page.locator("#sg-jobs-said").inner_text()


# ---- refused and full ----


def test_a_full_store_is_said_and_one_tap_saves_the_job(new_page, address, tmp_path) -> None:
    page = new_page()
    open_guide(page, address)
    page.click("#sg-aside")
    page.evaluate(f"() => {{ {FULL} }}")
    page.click("#sg-aside")
    assert page.locator("[data-found]").count() == 2
    note = page.locator(".storage-note")
    assert "refuses to keep data" in note.inner_text()
    shoot(page, "jobs-full")
    with page.expect_download() as download:
        note.get_by_role("button", name=re.compile("^Export ")).click()
    download.value.save_as(tmp_path / "rescued.job.json")
    assert len(read_job(tmp_path / "rescued.job.json")["log"]) == 2
    assert page.evaluate("""() => { const leaving = new Event("beforeunload", { cancelable: true });
        window.dispatchEvent(leaving); return leaving.defaultPrevented; }""")
    page.evaluate("""() => { const frame = document.createElement("iframe"); document.body.append(frame);
        Storage.prototype.setItem = frame.contentWindow.Storage.prototype.setItem; }""")
    note.get_by_role("button", name="Try again").click()
    page.wait_for_selector(".storage-note", state="detached")
    page.reload()
    assert page.locator("[data-found]").count() == 2


def test_photos_that_the_browser_refuses_are_said(new_page, address) -> None:
    page = new_page()
    page.add_init_script("IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError'); };")
    open_guide(page, address)
    page.click("#sg-aside")
    page.goto(address + JOBS)
    page.set_input_files("#sg-photo", {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture((64, 64))})
    page.wait_for_selector("[data-photo] img")
    assert "refuses to keep data" in page.locator(".storage-note").inner_text()
    assert page.evaluate("Sparkgap.jobs.losing()")


def test_a_store_that_cannot_even_be_read_leaves_the_page_working(new_page, address) -> None:
    page = new_page()
    page.add_init_script("""for (const name of ["localStorage", "sessionStorage"]) Object.defineProperty(window, name,
        { get() { throw new DOMException("no", "SecurityError"); } });""")
    open_guide(page, address)
    page.click("#sg-aside")
    assert page.locator("[data-found]").count() == 1
    assert "refuses to keep data" in page.locator(".storage-note").inner_text()


# ---- two tabs ----


def test_what_one_tab_finds_the_other_shows(new_page, address) -> None:
    one = new_page()
    open_guide(one, address)
    one.click("#sg-aside")
    two = one.context.new_page()
    open_guide(two, address)
    two.click("#sg-aside")
    until(one, "document.querySelectorAll('[data-found]').length === 2")
    assert "Changed in another tab" in one.locator("#sg-job").inner_text()
    one.click("#sg-aside")
    until(two, "document.querySelectorAll('[data-found]').length === 3")
    assert len(stored(two)) == 1


def test_what_is_being_typed_is_not_taken_away_by_another_tab(new_page, address) -> None:
    one = new_page()
    open_guide(one, address)
    one.click("#sg-aside")
    one.goto(address + JOBS)
    one.fill("#sg-note", "half a sent")
    two = one.context.new_page()
    open_guide(two, address)
    two.click("#sg-aside")
    one.wait_for_selector(".tab-note")
    assert "Changed in another tab" in one.locator(".tab-note").inner_text()
    assert one.input_value("#sg-note") == "half a sent"
    one.get_by_role("button", name="Add the note").click()
    assert "kept as a job of its own" in one.locator(".tab-note").inner_text()
    logs = sorted([entry["kind"] for entry in job["log"]] for job in stored(one))
    assert logs == [["aside", "aside"], ["aside", "note"]]
    one.get_by_role("button", name="Show the other one").click()
    one.wait_for_load_state()
    one.wait_for_selector(".job-row")
    assert [entry["kind"] for entry in current(one)["log"]] == ["aside", "aside"]


def test_a_tab_that_has_not_heard_yet_writes_over_nothing(new_page, address) -> None:
    page = new_page()
    open_guide(page, address)
    page.click("#sg-aside")
    page.evaluate("""() => { const key = "sparkgap.jobs." + Sparkgap.jobs.current().job.id;
        const record = JSON.parse(localStorage.getItem(key));
        Object.assign(record, { n: record.n + 1 }).job.number = "other tab";
        localStorage.setItem(key, JSON.stringify(record)); }""")
    page.click("#sg-aside")
    assert sorted((one["number"], len(one["log"])) for one in stored(page)) == [("", 2), ("other tab", 1)]
    assert "kept as a job of its own" in page.locator(".tab-note").inner_text()


# ---- knowledge that has moved on, and pages that were before ----


def test_a_newer_revision_is_said_and_what_it_does_not_have_is_kept(new_page, address, tmp_path) -> None:
    page = new_page()
    old = job(answer("first-look/relights", "at-once"), answer("first-look/relights", "sideways"),
              answer("gone/check", "x"), {"kind": "replaced", "part": "gone-part", "when": "before"},
              {"kind": "done", "id": "gone/remedy"}, knowledge="0123456789abcdef",
              unit={"id": UNIT, "title": "Demo twelve", "plate": {"ignition": "direct-spark", "gone": 1.5}})
    assert "gone/check" in bring(page, address, old)
    with page.expect_navigation():
        rows(page).first.get_by_role("button", name="Take in hand").click()
    listed = page.locator("#sg-uncounted").inner_text()
    for part in ("gone = 1.5", "gone/check", "sideways", "gone-part", "gone/remedy"):
        assert part in listed, part
    open_guide(page, address)
    assert "another revision of the knowledge" in page.locator("#sg-job").inner_text()
    with_all = page.evaluate(BELIEF)
    page.evaluate("""() => Sparkgap.jobs.change((record) => { record.job.log = record.job.log.slice(0, 1);
        delete record.job.unit.plate.gone; })""")
    page.reload()
    page.wait_for_selector(".gauge")
    assert page.evaluate(BELIEF) == with_all
    page.evaluate("(log) => Sparkgap.jobs.change((record) => { record.job.log = log; })", old["log"])
    page.goto(address + JOBS)
    assert read_job(exported(page, rows(page).first, tmp_path))["log"] == old["log"]


def test_what_earlier_pages_kept_becomes_a_job_once(new_page, address) -> None:
    page = new_page()
    page.goto(address + JOBS)
    page.evaluate("""([symptom, unit]) => {
      const set = (name, value) => localStorage.setItem("sparkgap." + name, JSON.stringify(value));
      set("plate", { unit, values: {}, written: {} });
      set("job." + symptom, { title: "x", complaint: "runs and quits", said: [["a", "b"]], log: [
        { kind: "gate", id: "burner-cool" },
        { kind: "answer", id: "first-look/relights", answer: "at-once", v: { "at-once": 1 }, hearsay: true },
        { kind: "answer", id: "flame-sense/flame-current", answer: "", v: { below: 0.4, within: 0.6, above: 0 },
          reading: "1 µA", text: "Too close" },
        { kind: "proof-gate", id: "purge-wait", remedy: "burner-tube/sweep-tube" }, { kind: "nonsense", what: "?" }] });
      set("job.slow-recovery", { log: [], title: "y" });
    }""", [SYMPTOM, UNIT])
    page.reload()
    (one,) = stored(page)
    assert (one["complaint"], one["symptom"], one["unit"]["id"]) == ("runs and quits", SYMPTOM, UNIT)
    assert [entry["kind"] for entry in one["log"]] == ["gate", "answer", "answer", "note", "gate", "note"]
    assert one["log"][2]["verdict"] == "too-close" and one["log"][3]["text"].endswith("1 µA")
    write_job(one)
    assert page.evaluate("Object.keys(localStorage).filter((name) => name.startsWith('sparkgap.job.'))") == []
    page.reload()
    assert len(stored(page)) == 1
    open_guide(page, address)
    assert page.locator("[data-found='first-look/relights']").count() == 1


def test_what_earlier_pages_kept_stays_where_the_browser_takes_nothing_new(new_page, address) -> None:
    page = new_page()
    page.goto(address + JOBS)
    page.evaluate("""localStorage.setItem("sparkgap.job.burner-quits-early",
        JSON.stringify({ log: [{ kind: "aside", id: "a/b" }] }))""")
    page.add_init_script(FULL)
    page.reload()
    assert "refuses to keep data" in page.locator(".storage-note").inner_text()
    assert page.evaluate("localStorage.getItem('sparkgap.job.burner-quits-early')")


# ---- the face ----


@pytest.mark.parametrize("size", ["portrait", "phone"])
def test_the_jobs_page_fits_and_its_targets_are_large(new_page, address, size) -> None:
    page = new_page(size, has_touch=True)
    one = job(answer("first-look/relights", "at-once"), number="7-12", complaint="runs and quits " * 8, photos=[PHOTO])
    bring(page, address, one)
    bring(page, address, {**one, "id": "demo-job-0002", "closed": AT, "outcome": {"end": "normal", "fault": None}})
    with page.expect_navigation():
        page.get_by_role("button", name="Take in hand").click()
    page.wait_for_selector(".job-row")
    more(rows(page).first, "Delete")
    shoot(page, f"jobs-{size}", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    small = page.eval_on_selector_all(
        "button, select, input:not([type=checkbox], [type=radio], [type=file]), textarea, summary, .tick, .act-button",
        """all => all.filter(e => e.offsetParent && e.getBoundingClientRect().height < 47.5)
            .map(e => e.outerHTML.slice(0, 90))""")
    assert small == []


def test_without_script_the_jobs_page_says_what_to_use(new_page, address) -> None:
    page = new_page(java_script_enabled=False)
    page.goto(address + JOBS)
    assert "printed job card" in page.locator("p.no-script-only:visible").last.inner_text()
