"""From the documents of kb/ to typed entities."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..quantities import QuantityError, parse_quantity
from .amounts import Converter
from .calculations import CalcInput, CalcOutput, CalcStep, Calculator, Example
from .entities import (
    Access,
    Also,
    Constant,
    Emergency,
    Fault,
    FaultPage,
    Fit,
    Gate,
    Part,
    PlateValue,
    Refusal,
    Sign,
    Source,
    Symptom,
    Table,
    Tool,
    Unit,
    Words,
)
from .model import Knowledge


def _base(convert: Converter, raw: dict, name: str, path: tuple) -> dict[str, Any]:
    return {"id": name, "title": raw["title"], "place": convert.document.at(path), "places": convert.below(path)}


def _picked(raw: dict, *keys: str) -> dict[str, Any]:
    """The keys that are there, lists as tuples."""
    return {key: tuple(raw[key]) if isinstance(raw[key], list) else raw[key] for key in keys if key in raw}


def source(convert: Converter, raw: dict, name: str, path: tuple) -> Source:
    """A source."""
    return Source(**_base(convert, raw, name, path), **_picked(raw, "kind", "where", "note"))


def plate_value(convert: Converter, raw: dict, name: str, path: tuple) -> PlateValue:
    """A data-plate value."""
    quantity = raw.get("quantity", "")
    if raw["kind"] == "quantity" and not quantity:
        convert.problem(path, "plate-invalid", f"{name}: a quantity needs to say which", "add quantity: and unit:")
    if raw["kind"] == "choice" and not raw.get("values"):
        convert.problem(path, "plate-invalid", f"{name}: a choice needs values", "add values:")
    limits = {key: convert.amount(raw.get(key), quantity, (*path, key)) for key in ("low", "high")}
    convert.rising(limits["low"], limits["high"], (*path, "low"), apart=True)
    return PlateValue(**_base(convert, raw, name, path), **limits,
                      **_picked(raw, "kind", "where", "quantity", "unit", "values"))


def constant(convert: Converter, raw: dict, name: str, path: tuple) -> Constant:
    """A constant."""
    amount = convert.amount(raw["value"], raw["quantity"], (*path, "value"))
    return Constant(**_base(convert, raw, name, path), amount=amount, **_picked(raw, "source", "note"))


def gate(convert: Converter, raw: dict, name: str, path: tuple) -> Gate:
    """A safety gate."""
    return Gate(**_base(convert, raw, name, path), voided_by={"states": {}, "opens": [], **raw.get("voided_by", {})},
                applies_to=convert.condition(raw.get("applies_to"), (*path, "applies_to")),
                **_picked(raw, "says", "how", "otherwise", "who", "holds", "before", "hazard", "source"))


def access(convert: Converter, raw: dict, name: str, path: tuple) -> Access:
    """An access."""
    return Access(**_base(convert, raw, name, path),
                  applies_to=convert.condition(raw.get("applies_to"), (*path, "applies_to")),
                  **_picked(raw, "open", "close", "inside", "attached", "shut_for", "gates", "who", "source"))


def tool(convert: Converter, raw: dict, name: str, path: tuple) -> Tool:
    """A tool. The fixed part of an accuracy of temperature is a temperature difference, like the resolution."""
    quantity = raw.get("quantity", "")
    step = "temperature-difference" if quantity == "temperature" else quantity
    accuracy = raw.get("accuracy", {})
    if raw["kind"] == "instrument" and not (quantity and "resolution" in raw and accuracy and "source" in raw):
        convert.problem(path, "schema", f"{name}: an instrument needs quantity, resolution, accuracy and source",
                        "a hand tool has none of them")
    low, high = (convert.amount(raw.get(key), quantity, (*path, key)) for key in ("low", "high"))
    convert.rising(low, high, (*path, "low"), apart=True)
    return Tool(**_base(convert, raw, name, path), **_picked(raw, "kind", "quantity", "source", "note"),
                low=low, high=high,
                resolution=convert.positive(raw.get("resolution"), step, (*path, "resolution")),
                fixed=convert.positive(accuracy.get("fixed"), step, (*path, "accuracy", "fixed"), zero=True),
                percent=float(accuracy.get("percent", 0)), digits=float(accuracy.get("digits", 0)))


def part(convert: Converter, raw: dict, name: str, path: tuple) -> Part:
    """A part; prices in USD, waiting in minutes."""
    fits = []
    for index, fit in enumerate(raw["fits"]):
        here = (*path, "fits", index)
        price = convert.positive(fit["price"], "money", (*here, "price"), zero=True)
        wait = convert.positive(fit["wait"], "duration", (*here, "wait"), zero=True)
        if price and wait:
            fits.append(Fit(convert.condition(fit.get("when"), (*here, "when")), fit["item"], price.si,
                            wait.si / 60, fit.get("note", "")))
    return Part(**_base(convert, raw, name, path), fits=tuple(fits), **_picked(raw, "source", "note"))


def emergency(convert: Converter, raw: dict, name: str, path: tuple) -> Emergency:
    """An emergency."""
    return Emergency(**_base(convert, raw, name, path), signs=_signs(raw),
                     **_picked(raw, "phrases", "now", "call", "before", "hazard"))


def refusal(convert: Converter, raw: dict, name: str, path: tuple) -> Refusal:
    """A refusal."""
    return Refusal(**_base(convert, raw, name, path), signs=_signs(raw),
                   **_picked(raw, "phrases", "why", "instead", "hazard"))


def _signs(raw: dict) -> tuple[Sign, ...]:
    return tuple(Sign(tuple(map(tuple, one["all"])), tuple(one.get("none", ())), one.get("within", Sign.within))
                 for one in raw.get("signs", ()))


def words(convert: Converter, raw: dict) -> Words:
    """The owners' words."""
    return Words(raw.get("synonyms", {}), raw.get("systems", {}), raw.get("groups", {}),
                 tuple(raw.get("common", "").split()), convert.below(()))


def fault_page(convert: Converter, raw: dict, knowledge: Knowledge) -> None:
    """A system's faults and their page."""
    base = _base(convert, raw, raw["system"], ())
    knowledge.fault_pages[raw["system"]] = FaultPage(
        **base, summary=raw.get("summary", ""), faults=tuple(raw["faults"]))
    for name, one in raw["faults"].items():
        path = ("faults", name)
        put(knowledge.faults, convert, path, Fault(
            **_base(convert, one, name, path), system=raw["system"],
            when=convert.condition(one.get("when"), (*path, "when")),
            **_picked(one, "what", "evidence", "shows", "caused_by", "danger")))


def put(where: dict, convert: Converter, path: tuple, entity: Any) -> None:
    """Add an entity; a second one of the same id is a problem and the first stays."""
    first = where.setdefault(entity.id, entity)
    if first is not entity:
        convert.problem(path, "id-duplicate", f"{entity.id!r} is already declared at "
                        f"{first.place.path}:{first.place.line}", "give one of them another id")


def table(convert: Converter, raw: dict) -> Table:
    """A table; cells are numbers in the column's unit."""
    columns = [(raw["key"]["name"], raw["key"])] + list(raw["columns"].items())
    rows = []
    for number, row in enumerate(raw["rows"]):
        if len(row) != len(columns):
            convert.problem(("rows", number), "schema",
                            f"row {number + 1} has {len(row)} cells, the table {len(columns)} columns",
                            "one number a column, the key first")
            continue
        rows.append([_cell(convert, cell, spec, ("rows", number, index))
                     for index, (cell, (_, spec)) in enumerate(zip(row, columns, strict=True))])
    keys = [row[0] for row in rows]
    if keys != sorted(set(keys)):
        convert.problem(("rows",), "schema", "the key column must rise from row to row", "sort the rows, each key once")
    return Table(**_base(convert, raw, raw["id"], ()), **_picked(raw, "source", "note"), rows=rows,
                 key=(raw["key"]["name"], raw["key"]["quantity"]), written=raw["rows"],
                 columns={name: spec["quantity"] for name, spec in columns[1:]})


def _cell(convert: Converter, cell: float, spec: dict, path: tuple) -> float:
    unit = spec.get("unit", "")
    amount = convert.amount(f"{cell!r} {unit}".strip(), spec["quantity"], path)
    return amount.si if amount else 0.0


def unit(convert: Converter, raw: dict) -> Unit:
    """A unit with its data plate."""
    values = {}
    for name, text in raw["plate"].items():
        term = convert.condition({name: text}, ("plate",))
        if term:
            values[name] = term[0].any[0]
    return Unit(**_base(convert, raw, raw["id"], ()), plate=values,
                written={name: str(text) for name, text in raw["plate"].items()}, **_picked(raw, "source", "note"))


def symptom(convert: Converter, raw: dict) -> Symptom:
    """A symptom."""
    also = {name: Also(float(one["weight"]), one.get("ask", "")) for name, one in raw.get("also", {}).items()}
    return Symptom(**_base(convert, raw, raw["id"], ()), also=also,
                   applies_to=convert.condition(raw.get("applies_to"), ("applies_to",)),
                   **_picked(raw, "system", "summary", "phrases", "weights", "faults", "source", "first",
                             "mistaken_for", "normal", "learned"))


def calculator(convert: Converter, raw: dict) -> Calculator:
    """A calculator; its amounts are checked here, its expressions by a rule."""
    for name, one in raw["inputs"].items():
        for key in ("default", "low", "high"):
            convert.amount(one.get(key), one["quantity"], ("inputs", name, key))
    inputs = {name: CalcInput(**{"unit": "", **one}) for name, one in raw["inputs"].items()}
    outputs = {name: CalcOutput(**{"unit": "", **one}) for name, one in raw["outputs"].items()}
    steps = {name: CalcStep(**one) for name, one in raw.get("steps", {}).items()}
    examples = tuple(Example(**one) for one in raw["examples"])
    _example_amounts(convert, examples, inputs, outputs)
    return Calculator(**_base(convert, raw, raw["id"], ()), inputs=inputs, outputs=outputs, steps=steps,
                      examples=examples, **_picked(raw, "summary", "constants", "tables", "notes", "source"))


def _example_amounts(convert: Converter, examples: tuple, inputs: dict, outputs: dict) -> None:
    for index, example in enumerate(examples):
        for key, declared in (("given", inputs), ("gives", outputs)):
            for name, text in getattr(example, key).items():
                path = ("examples", index, key, name)
                if name not in declared:
                    convert.problem(path, "unknown-reference", f"the calculator has no {name!r}",
                                    f"one of {', '.join(declared)}")
                    continue
                try:
                    parse_quantity(text, declared[name].quantity)
                except QuantityError as error:
                    convert.problem(path, "quantity-invalid", str(error), error.fix)


MAPPINGS: dict[str, Callable] = {
    "sources": source, "gates": gate, "access": access, "tools": tool, "parts": part,
    "emergencies": emergency, "refusals": refusal, "constants": constant, "plate": plate_value,
}
