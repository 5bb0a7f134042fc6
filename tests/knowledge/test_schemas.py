"""The schemas themselves, and what an author reads when a value does not fit."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from jsonschema import Draft202012Validator
from sparkgap.knowledge.schemas import SCHEMA_DIR, validate
from sparkgap.knowledge.yaml_reader import read_yaml

SCHEMAS = {path.name.removesuffix(".schema.json"): json.loads(path.read_text(encoding="utf-8"))
           for path in sorted(SCHEMA_DIR.glob("*.schema.json"))}


def properties(schema: object, where: str = "") -> Iterator[tuple[str, dict]]:
    """Every property of a schema, with its path."""
    if isinstance(schema, list):
        for index, one in enumerate(schema):
            yield from properties(one, f"{where}/{index}")
    elif isinstance(schema, dict):
        for name, one in schema.items():
            if name in ("properties", "$defs"):
                yield from ((f"{where}/{key}", part) for key, part in one.items())
                yield from properties(list(one.values()), f"{where}/{name}")
            elif name in ("additionalProperties", "items") and isinstance(one, dict):
                yield f"{where}/{name}", one
                yield from properties(one, f"{where}/{name}")
            else:
                yield from properties(one, f"{where}/{name}")


def description(schema: dict, home: str) -> str:
    """Its own description, or that of what it refers to."""
    if "description" in schema or "$ref" not in schema:
        return schema.get("description", "")
    file, _, pointer = schema["$ref"].partition("#/")
    target = SCHEMAS[file.removesuffix(".schema.json") or home]
    for part in pointer.split("/"):
        target = target[part]
    return description(target, file.removesuffix(".schema.json") or home)


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_is_one_and_describes_each_property(name):
    schema = SCHEMAS[name]
    Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:sparkgap:1:{name}" and schema["title"] and schema["description"]
    bare = [path for path, part in properties(schema)
            if not path.endswith("items") and not description(part, name)]
    assert bare == []
    assert sum(1 for _ in properties(schema)) >= 2


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_mapping_with_named_keys_takes_no_others(name):
    def walk(part: object, path: str) -> Iterator[str]:
        if isinstance(part, dict):
            if isinstance(part.get("properties"), dict) and part.get("type") == "object":
                if part.get("additionalProperties") is not False and "patternProperties" not in part:
                    yield path
                unknown = set(part.get("required", ())) - set(part["properties"])
                assert not unknown, path
            for key, one in part.items():
                yield from walk(one, f"{path}/{key}")
        elif isinstance(part, list):
            for index, one in enumerate(part):
                yield from walk(one, f"{path}/{index}")

    assert list(walk(SCHEMAS[name], "")) == []


def test_enumerations_name_each_value_once():
    def enums(part: object) -> Iterator[list]:
        if isinstance(part, dict):
            if isinstance(part.get("enum"), list):
                yield part["enum"]
            part = list(part.values())
        if isinstance(part, list):
            for one in part:
                yield from enums(one)

    found = [values for schema in SCHEMAS.values() for values in enums(schema)]
    assert found and all(len(values) == len(set(values)) for values in found)


UNIT = 'id: u\ntitle: "U"\nsource: demo\nplate: {motor: brushed}\n'.replace('"U"', '"Unit"')
GATE = ('g:\n  title: "Gate"\n  says: "Says so."\n  how: "Like this."\n  otherwise: "Stop here."\n  hazard: gas\n'
        "  source: demo\n")
TOOL = 't:\n  title: "Tool"\n  kind: instrument\n  quantity: length\n  source: demo\n'


def said(text: str, schema: str) -> list[str]:
    document = read_yaml(text, "f")
    assert document.problems == []
    validate(document, schema)
    return [str(problem) for problem in document.problems]


def test_sound_documents_pass():
    assert said(UNIT, "unit") == said(GATE, "gates") == said(TOOL, "tools") == []


@pytest.mark.parametrize(("text", "schema", "problem"), [
    (UNIT + "colour: red\n", "unit",
     "f:5:1: schema the file: unknown key 'colour' (the keys are id, note, plate, source, title)"),
    (UNIT.replace("title", "titel"), "unit",
     "f:1:1: schema the file: the key 'title' is missing (a short name for people)"),
    (UNIT.replace("title", "titel"), "unit", "f:2:1: schema the file: unknown key 'titel' (did you mean title?)"),
    (UNIT.replace('"Unit"', "12"), "unit",
     "f:2:1: schema title: must be text, not the number 12 (a short name for people)"),
    (UNIT.replace('"Unit"', "[a]"), "unit", "f:2:1: schema title: must be text, not a list (a short name for people)"),
    (UNIT + "note: not in quotes\n", "unit",
     'f:5:1: schema note: text for people is written in quotes (put it in "double quotes" or a | block)'),
    ("- a\n", "unit", "f:1:1: schema the file: must be a mapping, not a list (kb/units/*.yaml: an invented unit.)"),
    (GATE.replace("hazard: gas", "hazard: gass"), "gates",
     "f:6:3: schema g.hazard: 'gass' is not one of the values (did you mean gas?)"),
    (GATE.replace("hazard: gas", "hazard: fear"), "gates",
     "f:6:3: schema g.hazard: 'fear' is not one of the values (one of battery, burn, combustion-products, gas, mains, "
     "stored-energy, vehicle, water)"),
    (GATE.replace("g:", "Gate 1:"), "gates",
     "f:1:1: schema the file: the name 'Gate 1' is not written as it must be (lower-case words joined by hyphens)"),
    (GATE + "  who: []\n", "gates",
     "f:8:3: schema g.who: must have one entry or more (the qualifications needed, all of them; owner: anybody may)"),
    (TOOL + "  low: 5\n", "tools",
     "f:6:3: quantity-invalid t.low: a bare number 5 where a quantity belongs "
     '(write it with its unit in quotes, such as "11 inH2O"; a pure ratio as "0.80")'),
    (TOOL + '  low: "five in"\n', "tools",
     'f:6:3: quantity-invalid t.low: "five in" does not begin with a number (write e.g. "12.5", "1/8" or "3 1/4")'),
    (TOOL + '  low: "5 inches"\n', "tools", None),
    (TOOL.replace("quantity: length", "quantity: lenght"), "tools",
     "f:4:3: quantity-invalid t.quantity: 'lenght' is no quantity that Sparkgap knows (did you mean length?)"),
    (TOOL + "  accuracy: {percent: -1}\n", "tools",
     "f:6:14: schema t.accuracy.percent: must be 0 or more (percent of the reading)"),
])
def test_what_an_author_reads(text, schema, problem):
    if problem is None:
        (line,) = said(text, schema)
        assert line.startswith('f:6:3: unit-unknown t.low: "inches" is not a unit that Sparkgap knows (')
    else:
        assert problem in said(text, schema)


def test_an_unknown_unit_of_a_calculator_offers_what_is_near():
    text = (SCHEMA_DIR.parent / "tests/knowledge/base/kb/calculators/fill-time.yaml").read_text(encoding="utf-8")
    assert said(text, "calculator") == []
    (line,) = said(text.replace("unit: gal/min", "unit: gal/mins"), "calculator")
    assert line == ("f:6:59: unit-unknown inputs.flow.unit: 'gal/mins' is no unit that Sparkgap knows "
                    "(did you mean gal/min or gal/h or L/min?)")


@pytest.mark.parametrize(("condition", "problem"), [
    ("{volume: 12}", "f:1:14: schema applies_to.volume: 12 does not fit (a value or quantity of the data plate, a list "
                     "of values, or a band {at_least: …, below: …})"),
    ("{volume: {atleast: '1 gal'}}",
     "f:1:23: schema applies_to.volume: unknown key 'atleast' (did you mean at_least?)"),
    ("{volume: {below: 3}}", "f:1:23: quantity-invalid applies_to.volume.below: a bare number 3 where a quantity "
                             'belongs (write it with its unit in quotes, such as "11 inH2O"; a pure ratio as "0.80")'),
    ("{volume: []}", "f:1:14: schema applies_to.volume: must have one entry or more (any of these values)"),
])
def test_of_several_forms_the_one_that_was_meant_is_explained(condition, problem):
    lines = said(f"applies_to: {condition}\n", "symptom")
    (line,) = [one for one in lines if "applies_to" in one.split(": ")[1]]
    assert line.startswith(problem)


def test_a_missing_value_is_not_said_twice():
    document = read_yaml(UNIT.replace('"Unit"', "~"), "f")
    validate(document, "unit")
    assert [problem.code for problem in document.problems] == ["yaml-null"]
