"""From a procedure's front matter to tolerances, checks and remedies."""

from __future__ import annotations

from typing import Any

from .acts import Answer, Band, Check, Minutes, Procedure, Remedy, Tolerance
from .amounts import Converter

_ACT_TUPLES = ("who", "closes", "gates", "tools")
_ACT_PLAIN = ("tier", "access", "requires", "leaves", "why", "how", "never")
_CHECK_PLAIN = ("ask", "ask_owner", "good", "otherwise", "judge", "limit", "misses")


def procedure(convert: Converter, raw: dict) -> Procedure:
    """A procedure without its text."""
    own = raw["id"]
    result = Procedure(
        id=own, title=raw["title"], place=convert.document.at(()), places=convert.below(()),
        system=raw["system"], revision=raw["revision"], reviewed=raw["reviewed"], summary=raw.get("summary", ""),
        applies_to=convert.condition(raw.get("applies_to"), ("applies_to",)),
        symptoms=tuple(raw["symptoms"]), safety_gates=tuple(raw.get("safety_gates", ())),
        tools=tuple(raw.get("tools", ())))
    for kind, make in (("tolerances", _tolerance), ("checks", _check), ("remedies", _remedy)):
        for name, one in raw.get(kind, {}).items():
            getattr(result, kind)[name] = make(convert, one, name, (kind, name), result)
    return result


def _tolerance(convert: Converter, raw: dict, name: str, path: tuple, owner: Procedure) -> Tolerance:
    bands = [_band(convert, raw, path, raw["quantity"])] if "variants" not in raw else [
        _band(convert, one, (*path, "variants", index), raw["quantity"])
        for index, one in enumerate(raw["variants"])]
    if "variants" in raw and ("low" in raw or "high" in raw):
        convert.problem(path, "schema", f"{name}: limits stand beside variants", "put every limit into a variant")
    return Tolerance(
        id=name, title=raw.get("title", name.replace("-", " ").capitalize()), place=convert.document.at(path),
        places=convert.below(path), procedure=owner.id, quantity=raw["quantity"], tool=raw.get("tool", ""),
        source=raw.get("source", ""), note=raw.get("note", ""), safety=raw.get("safety", False), bands=tuple(bands))


def _band(convert: Converter, raw: dict, path: tuple, quantity: str) -> Band:
    low, high = (convert.amount(raw.get(key), quantity, (*path, key)) for key in ("low", "high"))
    convert.rising(low, high, (*path, "low"))
    return Band(convert.condition(raw.get("when"), (*path, "when")), low, high)


def _act(convert: Converter, raw: dict, name: str, path: tuple, owner: Procedure) -> dict[str, Any]:
    applies = convert.condition(raw.get("applies_to"), (*path, "applies_to"))
    return {
        "id": name, "title": raw.get("title") or raw.get("ask") or name.replace("-", " ").capitalize(),
        "place": convert.document.at(path), "places": convert.below(path), "procedure": owner.id,
        "minutes": convert.minutes(raw["minutes"]) if "minutes" in raw else Minutes(0.0),
        "applies_to": owner.applies_to + tuple(t for t in applies if t not in owner.applies_to),
        **{key: tuple(raw[key]) for key in _ACT_TUPLES if key in raw},
        **{key: raw[key] for key in _ACT_PLAIN if key in raw},
    }


def _check(convert: Converter, raw: dict, name: str, path: tuple, owner: Procedure) -> Check:
    measure = raw.get("measure", [])
    measured = (measure,) if isinstance(measure, str) else tuple(measure)
    answers = {key: Answer(id=key, **one) for key, one in raw["answers"].items()}
    return Check(
        **_act(convert, raw, name, path, owner), measure=measured, answers=answers,
        clear=raw.get("clear", "within" if measured else ""), **{key: raw[key] for key in _CHECK_PLAIN if key in raw})


def _remedy(convert: Converter, raw: dict, name: str, path: tuple, owner: Procedure) -> Remedy:
    proof = raw.get("proof", "")
    return Remedy(
        **_act(convert, raw, name, path, owner), ends=tuple(raw["ends"]), steps=tuple(raw.get("steps", ())),
        proof=proof if "/" in proof or not proof else f"{owner.id}/{proof}",
        **{key: raw[key] for key in ("part", "part_count", "fails", "after") if key in raw})
