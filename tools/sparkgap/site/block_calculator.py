"""A calculator: its inputs and arithmetic as text, the form that the scripts build, and the worked examples."""

from __future__ import annotations

from typing import Any

from ..knowledge.model import Calculator, Example
from . import words
from .facts import Facts
from .nodes import el, link, prose, tag


def _inputs(facts: Facts, calculator: Calculator) -> tag:
    rows = []
    for item in calculator.inputs.values():
        span = " to ".join(words.quantity_text(t, item.quantity) for t in (item.low, item.high) if t)
        plate = facts.knowledge.plate.get(item.plate)
        rows.append(el("tr", el("th", item.title, scope="row"),
                       el("td", words.quantity_text(item.default, item.quantity) if item.default else "to be given"),
                       el("td", span), el("td", item.help or (plate.where if plate else ""))))
    head = el("tr", el("th", "Input"), el("th", "Unless given"), el("th", "Between"), el("th", "Where from"))
    return el("table", el("thead", head), el("tbody", rows), cls="inputs")


def _arithmetic(facts: Facts, env: Any, calculator: Calculator) -> tag:
    named = {**calculator.steps, **calculator.outputs}
    rows = [el("div", el("dt", one.title or name.replace("_", " ")), el("dd", el("code", f"{name} = {one.expression}")))
            for name, one in named.items()]
    return el("dl", rows, cls="arithmetic")


def _constants(facts: Facts, env: Any, calculator: Calculator) -> tag | None:
    rows = []
    for name in calculator.constants:
        constant = facts.knowledge.constants.get(name)
        if constant is not None:
            source = link(env, "source", constant.source, facts.title("source", constant.source))
            rows.append(el("tr", el("th", constant.title, el("br"), el("code", name), scope="row"),
                           el("td", words.amount(constant.amount)), el("td", source, prose(constant.note, "note"))))
    for name in calculator.tables:
        table = facts.knowledge.tables.get(name)
        if table is not None:
            source = link(env, "source", table.source, facts.title("source", table.source))
            rows.append(el("tr", el("th", table.title, el("br"), el("code", name), scope="row"),
                           el("td", f"table, {len(table.rows)} rows"), el("td", source, prose(table.note, "note"))))
    if not rows:
        return None
    head = el("tr", el("th", "Constant"), el("th", "Value"), el("th", "Source"))
    return el("table", el("thead", head), el("tbody", rows), cls="constants")


def _example(env: Any, facts: Facts, calculator: Calculator, example: Example) -> tag:
    given = [el("li", f"{calculator.inputs[n].title}: {words.quantity_text(t, calculator.inputs[n].quantity)}")
             for n, t in example.given.items() if n in calculator.inputs]
    gives = [el("li", f"{calculator.outputs[n].title}: {words.quantity_text(t, calculator.outputs[n].quantity)}")
             for n, t in example.gives.items() if n in calculator.outputs]
    return el("tr", el("th", example.title, scope="row"), el("td", el("ul", given)), el("td", el("ul", gives)),
              el("td", link(env, "source", example.source, facts.title("source", example.source)),
                 f", within {example.within * 100:g} %"))


def examples_table(facts: Facts, env: Any, calculator: Calculator) -> tag | None:
    """The worked examples; the tests run the same ones."""
    if not calculator.examples:
        return None
    rows = [_example(env, facts, calculator, example) for example in calculator.examples]
    head = el("tr", el("th", "Example"), el("th", "Given"), el("th", "Gives"), el("th", "From"))
    return el("table", el("thead", head), el("tbody", rows), cls="examples")


def arithmetic(facts: Facts, env: Any, calculator: Calculator) -> list[Any]:
    """Inputs, expressions, constants and examples as text."""
    return [
        el("div", el("h4", "Inputs"), _inputs(facts, calculator), cls="scroll"),
        el("h4", "Arithmetic"), _arithmetic(facts, env, calculator),
        el("div", _constants(facts, env, calculator), cls="scroll"),
        el("div", el("h4", "Worked examples"), examples_table(facts, env, calculator), cls="scroll"),
    ]


def calculator_block(facts: Facts, env: Any, calculator: Calculator, anchor: str, whole: bool = False) -> tag:
    """The calculator in a page; whole on its own page, folded arithmetic in a procedure."""
    outputs = [el("li", el("b", out.title), f": {out.says}" if out.says else "") for out in calculator.outputs.values()]
    inner = arithmetic(facts, env, calculator)
    folded = el("details", el("summary", "Inputs, arithmetic, sources and worked examples"), inner)
    return el("section",
              el("header", el("span", "Calculator", cls="kind"),
                 el("b", calculator.title if whole else link(env, "calculator", calculator.id, calculator.title)),
                 cls="calc-head"),
              None if whole else prose(calculator.summary),
              el("div", cls="calc-form", hidden="hidden"),
              el("ul", outputs, cls="calc-says"),
              inner if whole else folded,
              prose(calculator.notes, "note"),
              cls="calculator", ids=[anchor], data_calculator=calculator.id)
