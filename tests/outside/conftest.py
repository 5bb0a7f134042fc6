"""What the checks against outside values share."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sparkgap.knowledge import Knowledge

from tests.calculators import Bench


@pytest.fixture(scope="session")
def value(knowledge: Knowledge) -> Callable[..., float]:
    """``value("tank-heat-up", "heat_up_time", "min", volume="6 gal")``, computed in Python and in JavaScript."""
    return Bench(knowledge).value
