"""The constants that the diagnosis computes with are declared, and lie where they make sense."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems import Place, Problem
from ..model import Knowledge

_SHARE = (0.0, 1.0)
_RATIO = (0.0, 1000.0)
_MINUTES = (0.0, 100_000.0)
# Above the first number, up to the second. A share of exactly one would make something certain for ever.
LIMITS: dict[str, tuple[float, float]] = {
    **dict.fromkeys((
        "word_sure", "word_likely", "word_even", "word_unlikely", "word_rare", "clear_default", "likelihood_floor",
        "hearsay_reliability", "replaced_persisted", "two_faults", "remedy_fails", "proof_misses", "conformity",
    ), _SHARE),
    **dict.fromkeys(("weight_normal", "weight_other", "replaced_before", "conflict_ratio"), _RATIO),
    **dict.fromkeys(("call_minutes", "back_minutes"), _MINUTES),
    "shop_rate": (0.0, 100_000.0), "look_ahead": (0.0, 3.0), "look_ahead_limit": (0.0, 1e9),
    "learn_prior_jobs": (0.0, 100_000.0),
}


def check(knowledge: Knowledge) -> Iterator[Problem]:
    """Problems of code constant-unfit."""
    for name, (low, high) in LIMITS.items():
        constant = knowledge.constants.get(name)
        if constant is None:
            if name not in knowledge.broken and "constants" not in knowledge.hidden:
                yield Problem.at(Place("kb/constants.yaml"), "constant-unfit",
                                 f"the diagnosis needs the constant {name}",
                                 "declare it with value, quantity and source")
            continue
        value = constant.amount.si
        if not low < value <= high or (value == high and high == 1):
            most = "below 1" if high == 1 else f"{high:,.0f} or less"
            yield Problem.at(constant.at("value"), "constant-unfit", f"{name} cannot be {constant.amount.text}",
                             f"it is a number above {low:g}, {most}")
