"""How long the page takes to plan anew, in a Chromium slowed down four times.

``python -m tests.bench.guide [--slow 4] [--repeats 30] [--symptoms ID …]``. For a synthetic symptom of 40
faults, 60 checks and 40 remedies and for every shipped one: at the start, once the free questions are answered, and
half-way. Milliseconds of Sparkgap.plan.guide (belief and plan as the page calls them) and of the outlook, which the
page works out in the background: the first call, and the median of the repeats after it. Ends with 0.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
from pathlib import Path
from typing import Any

from sparkgap.diagnosis.compile import FREE_MINUTES, compile_symptom
from sparkgap.knowledge import load
from sparkgap.knowledge.rows import constants

from tests.diagnosis.models import random_model

from .measure import CHECKOUT

SCRIPTS = CHECKOUT / "conf" / "static" / "js"
BUDGET, OUTLOOK_BUDGET = 50.0, 300.0
WHO = ["owner", "technician", "gas-qualified", "electrical-qualified"]
ARGUMENTS = ["--no-sandbox", "--disable-gpu"]
MEASURE = """([model, evidence, repeats]) => {
  const times = (work) => {
    const took = [];
    for (let n = 0; n <= repeats; n += 1) {
      const start = performance.now();
      work();
      took.push(performance.now() - start);
    }
    return took;
  };
  const sm = Sparkgap.belief.specialise(model, {}, {});
  return {
    guide: times(() => Sparkgap.plan.guide(model, {}, evidence, {})),
    outlook: times(() => Sparkgap.outlook(sm, evidence)),
    depth: Sparkgap.plan.guide(model, {}, evidence, {}).depth
  };
}"""


def synthetic(number: dict[str, float]) -> dict[str, Any]:
    """40 faults, 60 checks, 40 remedies; a quarter of the checks free, none to come first; the shipped constants."""
    model = random_model(40, faults=40, checks=60, remedies=40, plain=True)
    model["constants"] = {name: number[name] for name in model["constants"]}
    for place, check in enumerate(model["checks"]):
        free = place % 4 == 0
        check.update(first=False, free=free, tier=0 if free else 1 + place % 3,
                     minutes=FREE_MINUTES if free else check["minutes"], who=[])
    return {**model, "symptom": "synthetic 40 x 60"}


def evidences(model: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What is known at the start, after the free questions and half-way; every answer the clear one."""
    free = [check for check in model["checks"] if check["free"] or (check["first"] and check["tier"] == 0)]
    later = [check for check in model["checks"] if check not in free]
    stages = {"start": [], "free asked": free, "half-way": free + later[:len(later) // 2]}
    return {name: {"who": WHO, "results": {check["id"]: {"v": {check["clear"]: 1.0}} for check in checks}}
            for name, checks in stages.items()}


def measure(browser: Any, model: dict[str, Any], slow: float, repeats: int) -> list[dict[str, Any]]:
    """One row for each stage, each on a fresh page, so that the first call is a first call."""
    rows = []
    for stage, evidence in evidences(model).items():
        page = browser.new_page()
        for script in ("belief.js", "plan.js", "outlook.js"):
            page.add_script_tag(path=str(SCRIPTS / script))
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slow})
        told = page.evaluate(MEASURE, [model, evidence, repeats])
        page.close()
        rows.append({"symptom": model["symptom"], "stage": stage, "depth": told["depth"],
                     "first": told["guide"][0], "median": statistics.median(told["guide"][1:]),
                     "outlook_first": told["outlook"][0], "outlook": statistics.median(told["outlook"][1:])})
    return rows


def line(row: dict[str, Any]) -> str:
    """A row of the table; a star marks what misses its budget."""
    def cell(name: str, budget: float) -> str:
        return f"{row[name]:>8.1f}{'*' if row[name] > budget else ' '}"

    return (f"{row['symptom']:<30}{row['stage']:<12}{row['depth']:>5}{cell('first', BUDGET)}{cell('median', BUDGET)}"
            f"{cell('outlook_first', OUTLOOK_BUDGET)}{cell('outlook', OUTLOOK_BUDGET)}")


def chromium() -> Path | None:
    """The browser to use: SPARKGAP_BROWSER, or a Chromium on the path."""
    found = os.environ.get("SPARKGAP_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
    return Path(found) if found else None


def main(argv: list[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.guide", description=__doc__.split("\n")[0])
    parser.add_argument("--slow", type=float, default=4.0, help="how many times slower than this machine (default 4)")
    parser.add_argument("--repeats", type=int, default=30, help="calls after the first (default 30)")
    parser.add_argument("--symptoms", nargs="+", metavar="ID", help="only these, and not the synthetic one")
    options = parser.parse_args(argv)
    if chromium() is None:
        print("no Chromium: set SPARKGAP_BROWSER", file=sys.stderr)
        return 2
    from playwright.sync_api import sync_playwright

    knowledge = load(CHECKOUT)
    models = [compile_symptom(knowledge, name) for name in options.symptoms or sorted(knowledge.symptoms)]
    if not options.symptoms:
        models.insert(0, synthetic(constants(knowledge)))
    print(f"{'symptom':<30}{'stage':<12}{'depth':>5}{'first':>9}{'median':>9}{'outlook':>9}{'median':>9}   (ms)")
    rows = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(chromium()), args=ARGUMENTS)
        for model in models:
            found = measure(browser, model, options.slow, options.repeats)
            print("\n".join(map(line, found)), flush=True)
            rows += found
        browser.close()
    for name, budget in (("first", BUDGET), ("median", BUDGET), ("outlook_first", OUTLOOK_BUDGET),
                         ("outlook", OUTLOOK_BUDGET)):
        worst = max(row[name] for row in rows)
        met = "met" if worst <= budget else "NOT met"
        print(f"{name.replace('_', ', ')}: at most {worst:.0f} ms, budget {budget:.0f} ms: {met}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
