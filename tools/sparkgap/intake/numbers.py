"""Numbers with units in a complaint: "eleven minutes", "12 gallon", as facts to offer."""

from __future__ import annotations

import re

from .words import words

_UNITS = {w: (q, u) for names, q, u in (
    ("minute minutes min mins", "duration", "min"), ("second seconds sec secs", "duration", "s"),
    ("hour hours hr hrs", "duration", "h"), ("gallon gallons gal", "volume", "gal"),
    ("volt volts v", "voltage", "V"), ("amp amps a", "current", "A"), ("degree degrees f", "temperature", "degF"),
    ("btu btus", "power", "Btu/h"), ("psi", "gauge-pressure", "psi"), ("watt watts w", "power", "W"),
) for w in names.split()}
_ONES = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
         "seventeen eighteen nineteen").split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_VALUES = {**{w: i for i, w in enumerate(_ONES)}, **{w: 10 * (i + 2) for i, w in enumerate(_TENS)}}
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def facts(text: str) -> list[dict]:
    """Facts {quantity, text} in order, text a quantity such as "11 min"."""
    # A unit glued to its number ("12gal") and a decimal point must survive the cutting into words.
    spaced = re.sub(r"(\d)\.(\d)", r"\1point\2", text.lower().replace(",", ""))
    cut = words(re.sub(r"(\d)(?!\d|point)([a-z])", r"\1 \2", spaced))
    found, at = [], 0
    while at < len(cut):
        value, used = _number(cut, at)
        if used and at + used < len(cut) and cut[at + used] in _UNITS:
            quantity, unit = _UNITS[cut[at + used]]
            found.append({"quantity": quantity, "text": f"{value} {unit}"})
            used += 1
        at += used or 1
    return found


def _number(cut: list[str], at: int) -> tuple[str, int]:
    """The number that starts at a word, as digits, and how many words it takes; 0 when there is none."""
    word = cut[at].replace("point", ".")
    if _NUMBER.fullmatch(word):
        return word, 1
    if word not in _VALUES:
        return "", 0
    following = cut[at + 1] if at + 1 < len(cut) else ""
    if word in _TENS and following in _ONES[1:10]:
        return str(_VALUES[word] + _VALUES[following]), 2
    return str(_VALUES[word]), 1
