"""How long ranking a complaint takes in a slow browser, and how large the index is.

``python -m tests.bench.intake [--symptoms 500] [--slower 4]``. The knowledge is synthetic: the shipped symptoms over
and over, in each copy two words of every phrase exchanged for invented ones, with the shipped dangers, refusals and
words. Chromium runs with its processor slowed down; every complaint of tests/intake/set.yaml is ranked, and a long
one letter by letter, as it is typed. Ends with 0 when none took longer than a frame of 16 ms.
"""

from __future__ import annotations

import argparse
import dataclasses
import gzip
import json
import random
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright
from sparkgap.intake import build_index
from sparkgap.intake.words import STOP_WORDS, words
from sparkgap.knowledge import Knowledge

from tests.browser.conftest import ARGUMENTS, chromium
from tests.intake.sets import cases
from tests.js import SCRIPTS
from tests.loaded import shipped

BUDGET = 16.0  # ms: a frame
PASSES = 7  # the least of so many counts: other work on the machine only adds
WARM = 20  # so many complaints are ranked before the clock counts
ONSETS = "b br c d dr f g gr h k l m n p pl r s st t tr v w".split()
VOWELS, CODAS = "aeiou", "b ck d g l m n p r t x".split()
LONG = ("hello, we bought this trailer used last fall and it has been nothing but trouble, first the watter heeter "
        "would not lite at all and my husband changed the thermostat and the board, then it ran eleven minutes on gas "
        "and shut off with the red light on, electric works fine when we are pluged in, stove and furnase are ok, "
        "twelve gallon tank, there is no smell of gas, what else can we replace before the weekend, thank you so much")

# Every pass makes the index ready anew, so that no spelling is remembered from the pass before.
MEASURE = """([index, texts, warm, passes]) => {
  const typed = texts[texts.length - 1];
  const letters = Array.from({ length: typed.length }, (_, n) => typed.slice(0, n + 1));
  const timed = (work) => {
    const before = performance.now();
    work();
    return performance.now() - before;
  };
  const least = (one, other) => one.map((time, at) => Math.min(time, other[at]));
  const pass = () => {
    const fresh = { ...index };
    const ready = timed(() => Sparkgap.intake.prepare(fresh));
    texts.slice(0, warm).forEach((text) => Sparkgap.intake.rank(text, fresh));
    const times = (list) => list.map((text) => timed(() => Sparkgap.intake.rank(text, fresh)));
    return { ready, letters: times(letters), complaints: times(texts) };
  };
  const all = Array.from({ length: passes }, pass);
  return { ready: Math.min(...all.map((one) => one.ready)), complaints: all.map((one) => one.complaints).reduce(least),
    letters: all.map((one) => one.letters).reduce(least) };
}"""


def synthetic(knowledge: Knowledge, number: int, seed: int = 1) -> Knowledge:
    """So many symptoms with the phrases of the shipped ones, in which words are exchanged for invented ones."""
    chance = random.Random(seed)
    invented = ["".join((chance.choice(ONSETS), chance.choice(VOWELS), chance.choice(CODAS), chance.choice(VOWELS),
                         chance.choice(CODAS))) for _ in range(6 * number)]
    originals = sorted(knowledge.symptoms.values(), key=lambda one: one.id)
    symptoms = {}
    for at in range(number):
        one, mine = originals[at % len(originals)], chance.sample(invented, 12)
        name = one.id if at < len(originals) else f"{one.id}-{at}"
        phrases = one.phrases if at < len(originals) else tuple(_exchanged(p, mine, chance) for p in one.phrases)
        symptoms[name] = dataclasses.replace(one, id=name, phrases=phrases)
    return dataclasses.replace(knowledge, symptoms=symptoms)


def _exchanged(phrase: str, mine: list[str], chance: random.Random) -> str:
    said = words(phrase)
    places = [at for at, word in enumerate(said) if word not in STOP_WORDS]
    for at in chance.sample(places, min(2, len(places))):
        said[at] = chance.choice(mine)
    return " ".join(said)


def measured(index: dict, texts: list[str], slower: float) -> dict:
    """The times of one run in Chromium, in ms."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        page = browser.new_page()
        page.add_script_tag(content=(Path(SCRIPTS) / "intake.js").read_text(encoding="utf-8"))
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
        found = page.evaluate(MEASURE, [index, texts, WARM, PASSES])
        browser.close()
    return found


def line(name: str, times: list[float]) -> str:
    """Median, 95th percentile and greatest of some times."""
    rising = sorted(times)
    return (f"{name}: median {rising[len(rising) // 2]:.2f} ms, 95 % below {rising[int(0.95 * len(rising))]:.2f} ms, "
            f"longest {rising[-1]:.2f} ms ({len(rising)})")


def main() -> int:
    """Measure and say whether the budget is kept."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--symptoms", type=int, default=500)
    parser.add_argument("--slower", type=float, default=4.0)
    options = parser.parse_args()
    if not chromium():
        print("no Chromium on the path, and SPARKGAP_BROWSER names none")
        return 2
    for name, knowledge in (("shipped", shipped()), ("synthetic", synthetic(shipped(), options.symptoms))):
        index = build_index(knowledge)
        raw = json.dumps(index, ensure_ascii=False, separators=(",", ":")).encode()
        print(f"{name}: {len(index['symptoms'])} symptoms, {len(index['said'])} phrases, "
              f"{len(index['terms'])} features, index {len(raw):,} bytes, {len(gzip.compress(raw)):,} packed")
    found = measured(index, [*(case.text for case in cases("set")), LONG], options.slower)
    print(f"made ready once: {found['ready']:.0f} ms")
    print(line("a complaint", found["complaints"]))
    print(line("a letter of a long one", found["letters"]))
    slowest = max(*found["complaints"], *found["letters"])
    print(f"budget {BUDGET:g} ms: {'kept' if slowest <= BUDGET else 'NOT kept'}")
    return 0 if slowest <= BUDGET else 1


if __name__ == "__main__":
    sys.exit(main())
