"""What tests share. A test of shipped numbers takes the fixture ``knowledge``: the mutation run changes it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from sparkgap import knowledge as knowledge_room

ROOT = Path(__file__).resolve().parents[1]


def knowledge_root() -> Path:
    """The folder with kb/ and procedures/: the checkout, or a copy that SPARKGAP_TEST_ROOT names."""
    return Path(os.environ.get("SPARKGAP_TEST_ROOT") or ROOT)


@pytest.fixture(scope="session")
def knowledge() -> knowledge_room.Knowledge:
    """The shipped knowledge, read once. Tests only look at it."""
    return knowledge_room.load(knowledge_root())
