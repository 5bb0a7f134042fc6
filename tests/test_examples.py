"""Every worked example of every calculator, read from the published text and run in Python and in JavaScript."""

from __future__ import annotations

import math
import random

import pytest
from sparkgap.formulas import FormulaError
from sparkgap.knowledge import Knowledge
from sparkgap.quantities import format_quantity, parse_quantity

from tests.calculators import AGREE, Bench
from tests.loaded import shipped

EXAMPLES = [(id, index) for id, one in shipped().calculators.items() for index in range(len(one.examples))]
TRIALS = 200  # random inputs for each calculator


@pytest.fixture(scope="module")
def bench(knowledge: Knowledge) -> Bench:
    return Bench(knowledge)


def named(example: tuple[str, int]) -> str:
    id, index = example
    return f"{id}: {shipped().calculators[id].examples[index].title}"


def test_every_calculator_has_two_examples() -> None:
    assert {id for id, one in shipped().calculators.items() if len(one.examples) < 2} == set()


def differs(calculator, gives: dict[str, str], got: dict[str, float], within: float) -> list[str]:
    """What an example states otherwise than it comes out."""
    found = []
    for name, text in gives.items():
        output = calculator.outputs[name]
        stated = parse_quantity(text, output.quantity).value_si
        if not math.isclose(got[name], stated, rel_tol=0, abs_tol=within * abs(stated)):
            shown = format_quantity(got[name], output.quantity, digits=8, unit=output.unit or None)
            found.append(f"{name} comes out as {shown}, stated is {text}")
    return found


@pytest.mark.parametrize("example", EXAMPLES, ids=named)
def test_worked_example(example: tuple[str, int], bench: Bench, knowledge: Knowledge) -> None:
    id, index = example
    calculator = knowledge.calculators[id]
    stated = calculator.examples[index]
    got = bench.run(id, stated.given)
    wrong = differs(calculator, stated.gives, got, stated.within)
    assert wrong == [], f"{calculator.at('examples', index)}: {stated.title}"


def test_an_example_that_does_not_hold_is_named(bench: Bench, knowledge: Knowledge) -> None:
    got = bench.run("element-power", {"measured_voltage": "240 V", "rated_voltage": "240 V", "rated_power": "4500 W"})
    calculator = knowledge.calculators["element-power"]
    assert differs(calculator, {"resistance": "12.8 ohm", "current": "18.75 A"}, got, 1e-9) == []
    assert differs(calculator, {"resistance": "12.9 ohm", "current": "18.75 A"}, got, 0.005) == [
        "resistance comes out as 12.8 Ω, stated is 12.9 ohm"]


# --- anywhere within the bounds -----------------------------------------------------------------------------


def inputs_at_random(bench: Bench, id: str, dice: random.Random) -> dict[str, float]:
    """Inputs between their bounds; one that a table is looked up by is drawn from the table's keys."""
    program = bench.program(id)
    keys = {"gauge": "copper-wire", "stamped_number": "number-drill-sizes"}
    given = {}
    for name, bounds in program.bounds.items():
        if name in keys:
            given[name] = dice.choice(program.tables[keys[name]].keys)
        else:
            given[name] = dice.uniform(bounds.low, bounds.high)
    return given


@pytest.mark.parametrize("id", sorted(shipped().calculators))
def test_python_and_javascript_agree_within_the_bounds(id: str, bench: Bench) -> None:
    dice = random.Random(id)
    trials = [inputs_at_random(bench, id, dice) for _ in range(TRIALS)]
    script = bench.browser.call(
        "(id, trials) => trials.map((given) => { try { return Sparkgap.calculators[id].run(given); }"
        " catch (error) { return {error: error.message}; } })", id, trials)
    computed = 0
    for given, found in zip(trials, script, strict=True):
        try:
            wanted = bench.program(id).trace(given)
        except FormulaError as error:
            assert found == {"error": error.message}
            continue
        computed += 1
        assert set(found) == set(wanted)
        assert [name for name in wanted if not math.isclose(found[name], wanted[name], rel_tol=AGREE)] == [], given
    assert computed == TRIALS, "the bounds let in what cannot be computed"
