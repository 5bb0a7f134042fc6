"""Build the site with Sphinx, and serve a built site on this machine."""

from __future__ import annotations

import functools
import os
import sys
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

PORTS_TRIED = 50


def build(root: Path, out: Path, doctrees: Path, jobs: int = 1, strict: bool = True) -> int:
    """Build the site of the knowledge below root. Returns Sphinx's exit status: 0 when nothing is wrong.

    strict makes every warning an error and every unresolved reference a warning; all are reported before it fails.
    """
    from sphinx.cmd.build import main

    from .facts import make_ready

    problems = make_ready(root, doctrees).knowledge.problems
    if problems:  # Sphinx would report them as an error of its own, with a traceback
        print(*problems, sep="\n", file=sys.stderr)
        return 2
    arguments = ["-q", "-b", "html", "-c", str(root / "conf"), "-d", str(doctrees), "-j", str(jobs)]
    if strict:
        arguments += ["-W", "--keep-going", "-n"]
    return main([*arguments, str(root), str(out)])


class Handler(SimpleHTTPRequestHandler):
    """Files of one directory, never cached, with types that do not depend on the machine's table."""

    extensions_map = {
        "": "application/octet-stream", ".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8",
        ".js": "text/javascript; charset=utf-8", ".json": "application/json", ".svg": "image/svg+xml",
        ".png": "image/png", ".webmanifest": "application/manifest+json", ".txt": "text/plain; charset=utf-8",
        ".inv": "application/octet-stream", ".pdf": "application/pdf", ".ico": "image/x-icon",
    }

    def end_headers(self) -> None:
        """No page of a site in the making is kept by the browser."""
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing about each request."""


class _Server(ThreadingHTTPServer):
    allow_reuse_address = os.name != "nt"
    daemon_threads = True


def open_server(directory: Path, port: int) -> _Server:
    """A server on 127.0.0.1 at the port, or at the next free one. Raises OSError when none of fifty is free."""
    handler = functools.partial(Handler, directory=str(directory))
    for candidate in range(port, port + PORTS_TRIED):
        try:
            return _Server(("127.0.0.1", candidate), handler)
        except OSError:
            continue
    raise OSError(f"no port from {port} to {port + PORTS_TRIED - 1} is free")


def serve(directory: Path, port: int = 8000) -> int:
    """Serve a built site until interrupted and print its address. Returns 1 when there is no site or no port."""
    if not (Path(directory) / "index.html").is_file():
        print(f"{directory} holds no site: build it first", file=sys.stderr)
        return 1
    try:
        server = open_server(Path(directory), port)
    except OSError as error:
        print(error, file=sys.stderr)
        return 1
    print(f"http://127.0.0.1:{server.server_address[1]}/", flush=True)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        pass
    finally:
        server.server_close()
    return 0
