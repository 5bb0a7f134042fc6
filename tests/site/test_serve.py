"""The server: this machine only, the next free port, right types, nothing cached."""

from __future__ import annotations

import socket
import threading
import urllib.request
from pathlib import Path

import pytest
from sparkgap.site.build import open_server, serve


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "index.html").write_text("<p>front</p>", encoding="utf-8")
    (tmp_path / "a.js").write_text("1", encoding="utf-8")
    return tmp_path


def test_a_busy_port_gives_the_next_free_one(folder: Path) -> None:
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        port = busy.getsockname()[1]
        server = open_server(folder, port)
        try:
            assert server.server_address[0] == "127.0.0.1"
            assert port < server.server_address[1] < port + 50
        finally:
            server.server_close()


def test_types_and_caching(folder: Path) -> None:
    server = open_server(folder, 8900)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        base = f"http://127.0.0.1:{server.server_address[1]}/"
        with urllib.request.urlopen(base) as page, urllib.request.urlopen(base + "a.js") as script:
            assert page.read() == b"<p>front</p>"
            assert page.headers["Content-Type"] == "text/html; charset=utf-8"
            assert script.headers["Content-Type"] == "text/javascript; charset=utf-8"
            assert script.headers["Cache-Control"] == "no-store"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def test_a_folder_without_a_site_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert serve(tmp_path, 8900) == 1
    assert capsys.readouterr().err == f"{tmp_path} holds no site: build it first\n"
