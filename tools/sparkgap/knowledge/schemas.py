"""The JSON Schemas of schema/ and their errors in an author's words.

Beside JSON Schema's own words, the schemas use the formats that :data:`_FORMATS` checks: prose (quoted),
quantity, quantity-kind, unit and date.
"""

from __future__ import annotations

import datetime
import difflib
import itertools
import json
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from ..names import offer
from ..problems import Problem
from ..quantities import QUANTITIES, UNITS, QuantityError, parse_quantity
from ..units import HINTS
from .yaml_reader import MAX_PROBLEMS, Document, Plain, full

SCHEMA_DIR = Path(__file__).resolve().parents[3] / "schema"
_FORMATS = FormatChecker(formats=())


@_FORMATS.checks("prose")
def _prose(value: object) -> bool:
    return not (isinstance(value, Plain) and " " in value)


@_FORMATS.checks("quantity", raises=QuantityError)
def _quantity(value: object) -> bool:
    if isinstance(value, str):
        parse_quantity(value)
    return True


@_FORMATS.checks("quantity-kind")
def _quantity_kind(value: object) -> bool:
    return not isinstance(value, str) or value in QUANTITIES


@_FORMATS.checks("unit")
def _unit(value: object) -> bool:
    return not isinstance(value, str) or value in UNITS


@_FORMATS.checks("date", raises=ValueError)
def _date(value: object) -> bool:
    if isinstance(value, str):
        datetime.date.fromisoformat(value)
    return True


def _pattern_to_the_end(validator: Any, pattern: str, instance: Any, schema: Any) -> Iterator[ValidationError]:
    """``$`` of Python also fits before a line break, that of JSON Schema does not."""
    if isinstance(instance, str) and not re.search(re.sub(r"\$$", r"\\Z", pattern), instance):
        yield ValidationError(f"{instance!r} does not match {pattern!r}")


def _no_double(validator: Any, wanted: bool, instance: Any, schema: Any) -> Iterator[ValidationError]:
    """Entries that are mappings would be compared each with each."""
    if wanted and isinstance(instance, list) and len({repr(item) for item in instance}) < len(instance):
        yield ValidationError(f"{instance!r} has non-unique elements")


def _is_whole(checker: Any, instance: Any) -> bool:
    """1.0 is no whole number here: it would be shown with its point, and counts nothing."""
    return isinstance(instance, int) and not isinstance(instance, bool)


_Validator = extend(Draft202012Validator, {"pattern": _pattern_to_the_end, "uniqueItems": _no_double},
                    type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", _is_whole))


@cache
def _validators() -> dict[str, Any]:
    documents = {path.name.removesuffix(".schema.json"): json.loads(path.read_text(encoding="utf-8"))
                 for path in sorted(SCHEMA_DIR.glob("*.schema.json"))}
    shared = documents["common"]["$defs"]
    return {name: _Validator(_inlined(schema, shared), format_checker=_FORMATS)
            for name, schema in documents.items()}


def _inlined(part: Any, shared: dict[str, Any], local: bool = False) -> Any:
    """A schema with the definitions of common.schema.json written in: following references takes half of validating.

    ``local``: the part is itself of common.schema.json, so that its own references are meant too.
    """
    if isinstance(part, list):
        return [_inlined(one, shared, local) for one in part]
    if not isinstance(part, dict):
        return part
    target = part.get("$ref")
    common = isinstance(target, str) and (local or target.startswith("common.schema.json#"))
    rest = {key: _inlined(value, shared, local) for key, value in part.items() if not (common and key == "$ref")}
    return {**rest, **_inlined(shared[target.rsplit("/", 1)[1]], shared, True)} if common else rest


def validator(schema: str) -> Any:
    """The validator of a schema of schema/, by its name without the suffix."""
    return _validators()[schema]


def validate(document: Document, schema: str) -> None:
    """Append a problem to the document for each place where its data does not fit the schema."""
    seen = {(problem.line, problem.column) for problem in document.problems}
    errors = itertools.islice(validator(schema).iter_errors(document.data), 10 * MAX_PROBLEMS)
    for error in sorted(errors, key=lambda e: list(map(str, e.path))):
        if tuple(error.absolute_path) in document.refused:
            continue
        for problem in _explain(error, document):
            if (problem.line, problem.column) in seen:
                continue  # what the reader has already refused is not said twice
            document.problems.append(problem)
            if full(document):
                return


def _explain(error: ValidationError, document: Document) -> Iterator[Problem]:
    path = tuple(error.absolute_path)
    where = ".".join(map(str, path)) or "the file"
    handler = _EXPLAIN.get(error.validator)
    if "propertyNames" in error.absolute_schema_path:
        handler = _property_names
    if handler:
        yield from handler(error, document, path, where)
        return
    said = _SAID.get(error.validator, lambda value: _short(error.message))(error.validator_value)
    described = error.schema.get("description") or "change it to one that does"
    yield _at(document, path, "schema", f"{where}: {said}", described)


def _entries(number: int) -> str:
    return f"{number} entries" if number != 1 else "one entry"


# The words of JSON Schema that need no more than a sentence.
_SAID: dict[str, Callable[[Any], str]] = {
    "minimum": lambda value: f"must be {value} or more",
    "maximum": lambda value: f"must be {value} or less",
    "exclusiveMinimum": lambda value: f"must be more than {value}",
    "minLength": lambda value: f"must have {value} characters or more",
    "maxLength": lambda value: f"must have {value} characters or fewer",
    "minItems": lambda value: f"must have {_entries(value)} or more",
    "minProperties": lambda value: f"must have {_entries(value)} or more",
    "uniqueItems": lambda value: "an entry stands in the list twice",
    "const": lambda value: f"must be {value!r}",
}


def _at(document: Document, path: tuple, code: str, message: str, fix: str) -> Problem:
    return Problem.at(document.at(path), code, message, fix)


def _unknown_keys(error, document, path, where):
    known = sorted(error.schema.get("properties", {}))
    for key in error.instance:
        if key not in known:
            near = len(key) < 50 and difflib.get_close_matches(key, known)
            fix = offer(key, known) if near else f"the keys are {', '.join(known)}"
            yield _at(document, (*path, key), "schema", f"{where}: unknown key {_short(repr(key))}", fix)


def _missing_key(error, document, path, where):
    # jsonschema reports each missing key as an error of its own; the name is the first quoted word.
    key = error.message.split("'")[1]
    described = error.schema.get("properties", {}).get(key, {}).get("description", "")
    yield _at(document, path, "schema", f"{where}: the key {key!r} is missing", described)


def _format(error, document, path, where):
    kind = error.validator_value
    value = error.instance
    if kind == "prose":
        yield _at(document, path, "schema", f"{where}: text for people is written in quotes",
                  'put it in "double quotes" or a | block')
    elif kind == "quantity":
        cause = error.cause
        code = "unit-unknown" if "is not a unit" in str(cause) else "quantity-invalid"
        yield _at(document, path, code, f"{where}: {cause}", getattr(cause, "fix", ""))
    elif kind == "quantity-kind":
        yield _at(document, path, "quantity-invalid", f"{where}: {value!r} is no quantity that Sparkgap knows",
                  offer(str(value), QUANTITIES))
    elif kind == "unit":
        yield _at(document, path, "unit-unknown", f"{where}: {value!r} is no unit that Sparkgap knows",
                  HINTS.get(str(value)) or offer(str(value), UNITS))
    else:
        yield _at(document, path, "schema", f"{where}: {value!r} is no date", 'write a real day as "2026-11-20"')


def _type(error, document, path, where):
    if error.instance is None:
        return  # the reader has said that a value is missing
    wanted, got = error.validator_value, _kind(error.instance)
    described = error.schema.get("description", "")
    if wanted == "string" and isinstance(error.instance, int | float) and error.schema.get("format") == "quantity":
        yield _at(document, path, "quantity-invalid",
                  f"{where}: a bare number {error.instance!r} where a quantity belongs",
                  'write it with its unit in quotes, such as "11 inH2O"; a pure ratio as "0.80"')
        return
    yield _at(document, path, "schema", f"{where}: must be {_article(wanted)}, not {got}", described)


def _enum(error, document, path, where):
    yield _at(document, path, "schema", f"{where}: {_short(repr(error.instance))} is not one of the values",
              offer(str(error.instance), map(str, error.validator_value)))


def _pattern(error, document, path, where):
    yield _at(document, path, "schema", f"{where}: {_short(repr(error.instance))} is not written as it must be",
              error.schema.get("description", ""))


def _property_names(error, document, path, where):
    yield _at(document, (*path, error.instance), "schema",
              f"{where}: the name {_short(repr(error.instance))} is not written as it must be",
              error.schema.get("description", ""))


def _any_of(error, document, path, where):
    """Of several forms the one that the author meant is explained: the only one of the right type."""
    forms: dict[int, list[ValidationError]] = {}
    for part in error.context:
        forms.setdefault(part.relative_schema_path[0], []).append(part)
    meant = [parts for parts in forms.values()
             if not any(p.validator in ("type", "enum") and not p.relative_path for p in parts)]
    if len(meant) == 1:
        for part in meant[0]:
            yield from _explain(part, document)
        return
    yield _at(document, path, "schema", f"{where}: {_short(repr(error.instance))} does not fit",
              error.schema.get("description", ""))


_EXPLAIN = {
    "additionalProperties": _unknown_keys,
    "required": _missing_key,
    "format": _format,
    "type": _type,
    "enum": _enum,
    "pattern": _pattern,
    "anyOf": _any_of,
}


def _short(text: str, limit: int = 120) -> str:
    return text if len(text) <= limit else text[: limit - 1] + "…"


def _article(kind: str) -> str:
    return {"string": "text", "object": "a mapping", "array": "a list", "number": "a number",
            "integer": "a whole number", "boolean": "true or false"}.get(kind, kind)


def _kind(value: object) -> str:
    for types, word in ((bool, "true or false"), (int | float, f"the number {value}"), (str, "text"), (list, "a list")):
        if isinstance(value, types):
            return word
    return "a mapping" if isinstance(value, dict) else "nothing"
