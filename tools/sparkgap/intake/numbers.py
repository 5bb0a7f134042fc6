"""Numbers with units in a complaint: "eleven minutes", "12 gallon", as facts to offer."""

from __future__ import annotations

import re
from typing import Any

from ..knowledge.model import Knowledge
from ..quantities import parse_quantity
from .words import plain, words

# "a" for ampere counts only where it is glued to its number: "try 3 a day" speaks of no current.
_UNITS = {w: (q, u) for names, q, u in (
    ("minute minutes min mins", "duration", "min"), ("second seconds sec secs", "duration", "s"),
    ("hour hours hr hrs", "duration", "h"), ("gallon gallons gal", "volume", "gal"),
    ("volt volts v", "voltage", "V"), ("amp amps ampere amperes", "current", "A"),
    ("degree degrees f", "temperature", "degF"), ("btu btus", "power", "Btu/h"), ("psi", "gauge-pressure", "psi"),
    ("watt watts w", "electric-power", "W"),
) for w in names.split()}
_ONES = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
         "seventeen eighteen nineteen").split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_VALUES = {**{w: i for i, w in enumerate(_ONES)}, **{w: 10 * (i + 2) for i, w in enumerate(_TENS)}}
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
LONGEST = 12  # digits of a number that can be meant


def facts(text: str) -> list[dict]:
    """Facts {quantity, text} in order, text a quantity such as "11 min"."""
    cut = _cut(text)
    found, at = [], 0
    while at < len(cut):
        below = cut[at] == "minus"
        value, used = _number(cut, at + below)
        unit = _UNITS.get(cut[at + below + used]) if used and at + below + used < len(cut) else None
        if unit:
            sign = "-" if below and unit[0] == "temperature" else ""
            found.append({"quantity": unit[0], "text": f"{sign}{value} {unit[1]}"})
            used += 1
        at += below + used or 1
    return found


def offers(knowledge: Knowledge) -> dict[str, list[list[Any]]]:
    """For each quantity that can be said, the data-plate values of it: [name, title, low, high] in the said unit."""
    found: dict[str, list[list[Any]]] = {}
    for quantity, unit in dict.fromkeys(_UNITS.values()):
        zero, one = (parse_quantity(f"{n} {unit}", quantity).value_si for n in (0, 1))
        for name, value in knowledge.plate.items():
            if value.quantity == quantity and value.low and value.high:
                limits = (round((limit.si - zero) / (one - zero), 6) for limit in (value.low, value.high))
                found.setdefault(quantity, []).append([name, value.title, *limits])
    return found


def plate(found: list[dict[str, str]], offered: dict[str, list[list[Any]]]) -> list[dict[str, str]]:
    """The facts that may stand on the data plate: {name, title, text}, the first value of the plate that takes it."""
    result = []
    for one in found:
        number = float(one["text"].split(" ")[0])
        fit = next((o for o in offered.get(one["quantity"], ()) if o[2] <= number <= o[3]), None)
        if fit and not any(other["name"] == fit[0] for other in result):
            result.append({"name": fit[0], "title": fit[1], "text": one["text"]})
    return result


def _cut(text: str) -> list[str]:
    """The words, with signs, decimal points and units that are glued to numbers kept apart."""
    spaced = re.sub(r"([0-9]),(?=[0-9]{3}(?![0-9]))", r"\1", plain(text))
    spaced = re.sub(r"([0-9])\.(?=[0-9])", r"\1point", spaced)
    spaced = re.sub(r"(^|[ \t\n(])-(?=[0-9])", r"\1minus ", spaced)
    spaced = re.sub(r"([0-9])a(?![a-z0-9])", r"\1 amp", spaced)
    return words(re.sub(r"([0-9])(?!point[0-9])([a-z])", r"\1 \2", spaced))


def _number(cut: list[str], at: int) -> tuple[str, int]:
    """The number that starts at a word, as digits, and how many words it takes; 0 when there is none."""
    word = cut[at].replace("point", ".") if at < len(cut) else ""
    if _NUMBER.fullmatch(word):
        return (word, 1) if len(word) <= LONGEST else ("", 0)
    value, used = _small(cut, at)
    if not used and word == "a" and _word(cut, at + 1) in ("hundred", "thousand"):
        value, used = 1, 1
    if used and _word(cut, at + used) == "hundred":
        value, used = 100 * value, used + 1
        skip = _word(cut, at + used) == "and"
        more, taken = _small(cut, at + used + skip)
        value, used = value + more, used + (skip + taken if taken else 0)
    if used and _word(cut, at + used) == "thousand":
        value, used = 1000 * value, used + 1
    return (str(value), used) if used else ("", 0)


def _small(cut: list[str], at: int) -> tuple[int, int]:
    """A number below a hundred in words, and how many it takes."""
    word, following = _word(cut, at), _word(cut, at + 1)
    if word in _TENS and following in _ONES[1:10]:
        return _VALUES[word] + _VALUES[following], 2
    return (_VALUES[word], 1) if word in _VALUES else (0, 0)


def _word(cut: list[str], at: int) -> str:
    return cut[at] if at < len(cut) else ""
