"""What the fuzz tests share: one profile, always the same examples, and ways to spoil a sound text."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

_TIMES = int(os.environ.get("SPARKGAP_FUZZ", "1"))
"""So many times more examples, for a long run at night."""


def profile(examples: int) -> settings:
    """The same examples in every run; no deadline, because the machines of a test run are busy."""
    return settings(
        max_examples=examples * _TIMES,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


ODD = st.sampled_from(
    [
        "\0",
        "\t",
        "\r",
        "\x1b",
        "\x85",
        "\u2028",
        "\u202e",
        "\ufeff",
        "\ud800",
        "</script>",
        "-->",
        "'",
        '"',
        "*x",
        "&x ",
        "!!int ",
        "<<: ",
        "? ",
        "- ",
        "[",
        "{",
        "---\n",
        "...\n",
        "~",
        "yes",
        "1e999",
        "%YAML",
    ]
)


@st.composite
def spoiled(draw, text: str) -> str:
    """A text with pieces taken out, doubled, exchanged or put in."""
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 40)))
        put = draw(st.one_of(st.just(""), ODD, st.text(max_size=6), st.just(text[start:end] * 2)))
        text = text[:start] + put + text[end:]
    return text
