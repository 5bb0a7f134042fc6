"""What tests share. A test of shipped numbers takes the fixture ``knowledge``: the mutation run changes it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sparkgap import knowledge as knowledge_room

ROOT = Path(__file__).resolve().parents[1]
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]


def knowledge_root() -> Path:
    """The folder with kb/ and procedures/: the checkout, or a copy that SPARKGAP_TEST_ROOT names."""
    return Path(os.environ.get("SPARKGAP_TEST_ROOT") or ROOT)


@pytest.fixture(scope="session")
def knowledge() -> knowledge_room.Knowledge:
    """The shipped knowledge, read once. Tests only look at it."""
    return knowledge_room.load(knowledge_root())


def chromium() -> str | None:
    """The browser to use: SPARKGAP_BROWSER, or a Chromium on the path."""
    return os.environ.get("SPARKGAP_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def browser() -> Iterator[object]:
    """One Chromium for all tests of a process, which can hold only one driver."""
    path = chromium()
    if path is None:
        pytest.skip("no Chromium: set SPARKGAP_BROWSER")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield launched
        launched.close()
