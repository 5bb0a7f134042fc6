"""Run shipped calculators in Python and in the browser's JavaScript at once, and hold the two to each other."""

from __future__ import annotations

import json
import math
from functools import cached_property

from sparkgap.formulas import Program, compile_calculator
from sparkgap.knowledge import Knowledge
from sparkgap.quantities import UNITS, parse_quantity

from tests.js import Engine, engine

AGREE = 1e-12  # relative; exp, log and pow may differ in the last bit between Python and V8


class Bench:
    """The calculators of a knowledge, each compiled once, and one JavaScript context that holds them all."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._programs: dict[str, Program] = {}

    def program(self, id: str) -> Program:
        """The compiled calculator."""
        if id not in self._programs:
            calculator = self.knowledge.calculators[id]
            self._programs[id] = compile_calculator(calculator, self.knowledge.constants, self.knowledge.tables)
        return self._programs[id]

    @cached_property
    def browser(self) -> Engine:
        """formulas.js and what the build emits for every calculator."""
        script = engine("formulas.js")
        for id in self.knowledge.calculators:
            script.run(self.program(id).emit())
        return script

    def given(self, id: str, texts: dict[str, str]) -> dict[str, float]:
        """Written quantities as the inputs of a calculator, in SI."""
        inputs = self.knowledge.calculators[id].inputs
        return {name: parse_quantity(text, inputs[name].quantity).value_si for name, text in texts.items()}

    def in_browser(self, id: str, given: dict[str, float]) -> dict[str, float]:
        """Steps and outputs as the emitted JavaScript computes them."""
        return self.browser.call(f"(given) => Sparkgap.calculators[{json.dumps(id)}].run(given)", given)

    def run(self, id: str, texts: dict[str, str]) -> dict[str, float]:
        """Steps and outputs in SI. Fails where Python and JavaScript differ."""
        given = self.given(id, texts)
        python, script = self.program(id).trace(given), self.in_browser(id, given)
        assert set(python) == set(script)
        apart = {name: (value, script[name]) for name, value in python.items()
                 if not math.isclose(value, script[name], rel_tol=AGREE, abs_tol=0)}
        assert apart == {}, f"{id} differs between Python and JavaScript"
        return python

    def value(self, id: str, output: str, unit: str, **texts: str) -> float:
        """One output in a unit ("1" for a plain number); inputs not given take their defaults."""
        return UNITS[unit].from_si(self.run(id, texts)[output])
