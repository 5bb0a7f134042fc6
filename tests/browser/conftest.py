"""A Chromium and a served copy of the real site. Without a Chromium these tests are left out and say so."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sparkgap.site.build import open_server

from ..site.builds import build, copy_of_sources

ROOT = Path(__file__).resolve().parents[2]
SHOTS = ROOT / ".sparkgap" / "shots"
SIZES = {"portrait": (820, 1180), "landscape": (1180, 820), "phone": (360, 740), "wide": (1600, 1000)}


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The built site as a folder."""
    where = tmp_path_factory.mktemp("browser")
    built = build(copy_of_sources(where / "sources"), where)
    assert built.warnings == ""
    return built.out


@pytest.fixture(scope="session")
def address(folder: Path) -> Iterator[str]:
    """The built site as a served address."""
    server = open_server(folder, 8950)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()


@pytest.fixture
def said() -> list[str]:
    """Errors that pages report; asserted to be empty when the test ends."""
    return []


@pytest.fixture
def new_page(browser: object, said: list[str]) -> Iterator[object]:
    """Make pages with a clean store: new_page("portrait", java_script_enabled=False)."""
    contexts = []

    def make(size: str = "portrait", **options: object) -> object:
        width, height = SIZES[size]
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
        page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
        page.on("request", lambda request: said.append(f"left the site: {request.url}")
                if not request.url.startswith(("http://127.0.0.1:", "file:", "data:")) else None)
        return page

    yield make
    for context in contexts:
        context.close()
    assert said == []


def shoot(page: object, name: str, **options: object) -> None:
    """A screenshot for people to look at."""
    SHOTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=str(SHOTS / f"{name}.png"), **options)
