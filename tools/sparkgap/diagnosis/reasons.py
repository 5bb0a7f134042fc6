"""Why an act comes next, and what it takes to go another way, in plain words; reasons.js says the same.

``acts`` are the checks and remedies of a specialised symptom by id; ``words`` holds titles by id under
``tools``, ``faults`` and ``access``.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import floor
from typing import Any

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
QUALIFIED = {"technician": "a technician", "gas-qualified": "someone qualified for gas",
             "electrical-qualified": "someone qualified for mains power"}
TIERS = ("looking and listening only", "covers off the cold unit", "the unit running or low voltage live",
         "the gas path opened or mains live")
SAME = 0.5  # minutes; what differs by less is as good


def reason(option: Mapping[str, Any], acts: Mapping, result: Mapping[str, Any], words: Mapping) -> str:
    """One or two sentences for one ranked act."""
    if option["kind"] == "call":
        return _call(option, result)
    if option["kind"] == "normal":
        return f"Nothing is wrong, with {percent(result['belief'].get('normal', 0.0))}: no part is needed."
    act = acts[option["id"]]
    told = [_gain(option, result, words) if option["kind"] == "check" else _repair(option)]
    told.append(minutes(work_minutes(option, act)) + (" with its proof" if option["kind"] == "remedy" else ""))
    told.append(f"needs {needed(act['tools'], words)}" if act["tools"] else "needs no tools")
    if act.get("part"):
        told.append("takes a part")
    if act["gates"]:
        told.append(f"{count(len(act['gates']), 'safety gate')} first")
    said = ", ".join(one for one in told if one)
    return f"{_turn(option, result)}{said[0].upper()}{said[1:]}."


def instead(option: Mapping[str, Any], best: Mapping[str, Any], acts: Mapping, words: Mapping) -> dict[str, Any]:
    """What another act costs against the one ranked first: ``more`` minutes, and ``why`` as a list of reasons."""
    more = option["value"] - best["value"]
    act, other = acts.get(option["id"]), acts.get(best["id"])
    if act is None:
        return {"more": more, "why": []}
    base = other or {"access": [], "tools": [], "who": [], "tier": 0}
    why = [f"first {plain(words['access'][name])}" for name in act["access"] if name not in base["access"]]
    if act["tier"] > base["tier"]:
        why.append(TIERS[int(act["tier"])])
    tools = [name for name in act["tools"] if name not in base["tools"]]
    if tools:
        why.append(f"needs {needed(tools, words)}")
    why += [f"needs {QUALIFIED[name]}" for name in act["who"] if name != "technician" and name not in base["who"]]
    longer = work_minutes(option, act) - (work_minutes(best, other) if other else 0.0)
    if longer > SAME:
        why.append(f"takes {minutes(work_minutes(option, act))}")
    if not why and more > SAME:
        why.append("tells less for its minutes")
    return {"more": more, "why": why}


def count(number: int, noun: str) -> str:
    """A number with its noun, in words up to twelve: "two safety gates"."""
    said = NUMBERS[number] if number < len(NUMBERS) else str(number)
    return f"{said} {noun}{'' if number == 1 else 's'}"


def minutes(value: float) -> str:
    """Minutes as said: whole, one at the least."""
    return count(max(1, floor(value + 0.5)), "minute")


def percent(share: float) -> str:
    """A share as the pages say it: whole per cent, honest at both ends."""
    if 0 < share < 0.01:
        return "<1 %"
    if 0.99 < share < 1:
        return ">99 %"
    return f"{floor(share * 100 + 0.5)} %"


def plain(title: str) -> str:
    """A title in the middle of a sentence: its first letter small, unless it begins with an abbreviation."""
    return title[0].lower() + title[1:] if title[1:2].islower() else title


def needed(tools: list[str], words: Mapping) -> str:
    """Tools as a list in words."""
    said = [plain(words["tools"].get(name, name)) for name in tools]
    return said[0] if len(said) == 1 else f"{'; '.join(said[:-1])} and {said[-1]}"


def work_minutes(option: Mapping[str, Any], act: Mapping) -> float:
    """The minutes of an act at the unit: what its part costs and waits is left out."""
    return option["cost"] - (act.get("part_minutes") or 0.0)


def _call(option: Mapping[str, Any], result: Mapping[str, Any]) -> str:
    if result["pending_first"]:
        return "What must come first is not settled, and nothing else may be done before it."
    return f"Nothing that is left here is worth its minutes; a call counts as {floor(option['cost'] + 0.5)}."


def _turn(option: Mapping[str, Any], result: Mapping[str, Any]) -> str:
    if option.get("again"):
        return "Put this right first, then answer again. "
    if option["id"] in result["pending_first"]:
        return "Comes before anything is fired or energised. "
    if option["id"] in result["pending_free"]:
        return "Free: look and ask before anything is opened. "
    return ""


def _gain(option: Mapping[str, Any], result: Mapping[str, Any], words: Mapping) -> str:
    causes = [name for name in result["belief"] if name not in ("normal", "other")]
    if option["clears"]:
        cleared = NUMBERS[option["clears"]] if option["clears"] < len(NUMBERS) else option["clears"]
        return f"can clear {cleared} of {count(len(causes), 'cause')}"
    for name in sorted(option["answers"]):
        lead = option["answers"][name]["lead"]
        if lead in causes and result["belief"][lead] < _most(result["belief"]):
            return f"can point to {plain(words['faults'].get(lead, lead))}"
    return ""


def _most(belief: Mapping[str, float]) -> float:
    most = 0.0
    for name in sorted(belief):
        most = max(most, belief[name])
    return most


def _repair(option: Mapping[str, Any]) -> str:
    return f"ends the cause with {percent(option['fixes'])}"
