"""The whole answer to "what next?" for one unit and what is known of it."""

from __future__ import annotations

from collections.abc import Mapping

from .belief import belief
from .conflict import conflict, two_faults
from .plan import plan
from .specialise import Calculators, Plate, specialise


def guide(model: Mapping, plate: Plate, evidence: Mapping, calculators: Calculators | None = None) -> dict:
    """Belief, expected minutes and ranked next acts from a compiled symptom, a data plate and the evidence.

    ``belief`` maps hypotheses to probabilities; ``value`` is the expected minutes to the end; ``next`` holds
    checks, remedies, "call" and "normal", best first, each with value and cost in minutes; ``conflict`` names
    the least fitting finding, ``two`` a pair of faults likelier together than any alone; ``missing`` are
    plate values that would decide something; ``pending_first`` and ``pending_free`` are the checks that come
    before all others; ``needs_qualified`` the acts that the person may not do.
    """
    sm = specialise(model, plate, calculators)
    return {
        "belief": belief(sm, evidence),
        "conflict": conflict(sm, evidence),
        "two": two_faults(sm, evidence),
        "missing": sm["missing"],
        **plan(sm, evidence),
    }
