"""One job, followed on the page and with ``sparkgap guide --json`` side by side."""

from __future__ import annotations

import json

import pytest
from sparkgap.cli import main
from sparkgap.diagnosis.compile import compile_symptom

from .conftest import shoot
from .test_way import choose_unit, pass_gates

TELL = """() => {
  const now = Sparkgap.guideNow;
  return { open: now.evidence.open, next: now.result.next, belief: now.result.belief,
    pending_first: now.result.pending_first, pending_free: now.result.pending_free,
    minutes: now.told.minutes, then: now.told.then,
    why: now.result.next.map((one) => Sparkgap.reasons.reason(one, now.acts, now.result, now.words)) };
}"""


class Story:
    """A job on a symptom's page, and the same job as the arguments of the command."""

    def __init__(self, page, capsys, knowledge, symptom: str, who: str = "technician") -> None:
        self.page, self.capsys, self.symptom, self.who = page, capsys, symptom, who
        self.model = compile_symptom(knowledge, symptom)
        self.checks = {check["id"]: check for check in self.model["checks"]}
        self.unit, self.found, self.order = "", [], []
        self.told = False  # on the phone every answer counts as told

    def start(self, address: str, complaint: str, unit: str = "") -> None:
        """From the owner's words on the front page to the guide."""
        page = self.page
        page.goto(address)
        page.fill("#sg-words", complaint)
        link = page.locator(f".ranked li:nth-child(-n+3) a[href$='{self.symptom}.html']")
        link.wait_for()
        assert page.locator(".emergency-banner").count() == 0
        link.click()
        self.ready()
        if self.who != "technician":
            page.evaluate("who => Sparkgap.store.set('who', who)", self.who.split(","))
            page.reload()
            self.ready()
        if unit:
            self.unit = unit
            choose_unit(page, unit)
            self.ready()

    def ready(self) -> None:
        """Wait until the minutes are worked out as well."""
        self.page.wait_for_selector("#sg-guide[data-told='1']")

    def command(self, *more: str, who: str = "") -> str:
        """What ``sparkgap guide`` prints for the job so far."""
        options = ["guide", self.symptom, "--who", who or self.who]
        options += ["--unit", self.unit] if self.unit else []
        options += ["--found", *self.found] if self.found else []
        self.capsys.readouterr()
        assert main([*options, *more]) == 0
        return self.capsys.readouterr().out

    def ask(self) -> dict:
        """The command's result, once the page has been held against it."""
        self.ready()
        shown = self.page.evaluate(TELL)
        opened = ["--open", *shown["open"]] if shown["open"] else []
        result = json.loads(self.command("--json", *opened))
        assert self.page.locator("[data-next]").get_attribute("data-next") == result["next"][0]["id"]
        assert shown["belief"] == pytest.approx(result["belief"], abs=1e-9)
        assert (shown["pending_first"], shown["pending_free"]) == (result["pending_first"], result["pending_free"])
        self._same_minutes(shown, result)
        return result

    def _same_minutes(self, shown: dict, result: dict) -> None:
        for mine, theirs in zip(shown["next"], result["next"], strict=True):
            assert mine["id"] == theirs["id"]
            assert mine["value"] == pytest.approx(theirs["value"], abs=1e-6)
        assert shown["why"] == [one["why"] for one in result["next"]]
        assert shown["minutes"] == (result["outlook"]["minutes"] if result["outlook"]["minutes"] is None
                                    else pytest.approx(result["outlook"]["minutes"], abs=1e-6))
        assert shown["then"] == result["outlook"]["then"]

    def answer(self, gid: str, name: str) -> None:
        """Answer the check that is shown, its gates passed."""
        pass_gates(self.page)
        details = self.page.locator("[data-next] details:has([data-choice])")
        if details.count():
            details.locator("summary").first.click()
        self.page.locator(f"[data-next] [data-choice='{name}']").click()
        self.page.wait_for_selector(f"[data-found='{gid}']")
        self.found.append(f"{gid}={'~' if self.told else ''}{name}")
        self.order.append(gid)

    def likely(self, gid: str, fault: str) -> str:
        """The answer that a fault most likely gives; the clear one when several are as likely."""
        check = self.checks[gid]
        row = check["rows"].get(fault, check["rows"]["*"])
        clear = check["answers"].index(check["clear"])
        return check["clear"] if row[clear] == max(row) else check["answers"][row.index(max(row))]

    def play(self, fault: str, name: str, stops: tuple[str, ...] = ("remedy", "call", "normal")) -> dict:
        """Answer as the fault would, until a repair or a stop is ranked first; screenshots on the way."""
        for number in range(60):
            result = self.ask()
            if number in (0, 3):
                shoot(self.page, f"{name}-{number:02}")
            if result["next"][0]["kind"] in stops:
                return result
            gid = result["next"][0]["id"]
            self.answer(gid, self.likely(gid, fault))
        raise AssertionError(f"no end after {self.order}")

    def in_good_order(self) -> None:
        """What comes first is asked first, in its order; no cover comes off while a free question or look is open."""
        first = sorted((c for c in self.checks.values() if c["first"]), key=lambda c: c["place"])
        asked_first = [c["id"] for c in first if c["id"] in self.order]
        assert self.order[:len(asked_first)] == asked_first
        free = [gid for gid in self.order if self.checks[gid]["free"]]
        opened = [gid for gid in self.order if gid not in free and
                  (self.checks[gid]["access"] or self.checks[gid]["tier"] > 0)]
        assert not free or not opened or self.order.index(free[-1]) < self.order.index(opened[0])

    def repair(self, remedy: str, name: str) -> None:
        """Carry out the repair that is shown: its gates, then those of its proof, then proved."""
        page = self.page
        assert page.locator("[data-next]").get_attribute("data-next") == remedy
        shoot(page, f"{name}-remedy", full_page=True)
        done, proof = page.locator("[data-done]"), page.get_by_role("list", name="Safety gates before the proof")
        while page.locator("[data-pass]").count() > proof.locator("[data-pass]").count():
            page.locator("[data-pass]").first.click()
        if proof.locator("[data-pass]").count():
            assert done.is_disabled()
        pass_gates(page)
        done.click()
        page.wait_for_selector("[data-next='done']")
        shoot(page, f"{name}-proved")
        assert page.locator("#sg-ask").inner_text().startswith("Repaired and proved: ")

    def card(self, complaint: str) -> None:
        """The printed card carries the complaint and what was found."""
        page = self.page
        page.locator("[data-next='done'] a.act-button").click()
        page.wait_for_url(f"**#found={self.symptom}")
        page.emulate_media(media="print")
        text = page.locator(".card").inner_text()
        assert complaint in text
        assert self.checks[self.order[0]]["ask"] in text
