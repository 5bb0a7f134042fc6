"""A paper as PDF: printed by the Chromium, Chrome or Edge that is on the machine.

Chosen against WeasyPrint after printing the same three cards with both: the pages were alike, and both repeat the
head and number the pages. The browser took 1 s of processor time a card and wrote 64 to 130 KB, WeasyPrint 6 s (two
columns inside a repeated head are slow there) and 22 to 47 KB, the same bytes each time. What decides is that the
browser is the engine that prints the procedure page, so that a card from the command and one from the tablet are the
same page, and that shops have one: Edge is part of Windows, while WeasyPrint needs pango there. From Chromium 131 on
the pages are numbered; an older one prints them without.

The document comes with everything inside, and its own policy forbids scripts; no host is looked up while it prints.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "microsoft-edge", "msedge")
SECONDS = 120  # a slow tablet needs some twenty for the first page
OPTIONS = ("--headless", "--disable-gpu", "--no-first-run", "--disable-extensions", "--disable-sync",
           "--disable-background-networking", "--disable-component-update", "--host-resolver-rules=MAP * ~NOTFOUND",
           "--no-pdf-header-footer")


class PdfRefused(Exception):
    """A PDF cannot be made; ``lines`` say why and what to do."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


def write_pdf(document: str, out: Path) -> None:
    """Print an HTML document to a file. Raises PdfRefused; then the file is as it was."""
    browser = find_browser()
    try:
        # Beside the file: a browser that is kept in a cage of its own may not read the common folder for such files.
        with tempfile.TemporaryDirectory(prefix="sparkgap-", dir=out.resolve().parent) as folder:
            page, made = Path(folder, "paper.html"), Path(folder, "paper.pdf")
            page.write_text(document, encoding="utf-8")
            said = _print(browser, page, made, Path(folder, "profile"))
            if not made.is_file() or not made.read_bytes().startswith(b"%PDF-"):
                raise PdfRefused(f"{browser} made no PDF{said}", "name another browser with SPARKGAP_BROWSER, or write "
                                 "FILE.html and print that")
            os.replace(made, out)
    except OSError as error:
        raise PdfRefused(f"{out}: {error.strerror}", "name a place that can be written") from None


def find_browser() -> str:
    """The browser to print with: SPARKGAP_BROWSER, or the first found. Raises PdfRefused when there is none."""
    named = os.environ.get("SPARKGAP_BROWSER")
    if named:
        found = shutil.which(named)
        if not found:
            raise PdfRefused(f"SPARKGAP_BROWSER names {named}, which cannot be run",
                             "name a Chromium, Chrome or Edge, or unset it")
        return found
    for name in (*NAMES, *_usual_places()):
        found = shutil.which(name)
        if found:
            return found
    raise PdfRefused("no browser that prints a PDF was found",
                     "install Chromium, Chrome or Edge, or name one with SPARKGAP_BROWSER",
                     "or write FILE.html and print that from any browser")


def _usual_places() -> Iterator[str]:
    if sys.platform == "darwin":
        for name in ("Google Chrome", "Chromium", "Microsoft Edge"):
            yield f"/Applications/{name}.app/Contents/MacOS/{name}"
    for variable in ("ProgramFiles", "ProgramFiles(x86)", "LocalAppData"):
        if variable in os.environ:
            yield str(Path(os.environ[variable], "Google", "Chrome", "Application", "chrome.exe"))
            yield str(Path(os.environ[variable], "Microsoft", "Edge", "Application", "msedge.exe"))


def _print(browser: str, page: Path, made: Path, profile: Path) -> str:
    """Run the browser; what it said last when it failed, as the rest of a sentence."""
    # Where everything runs as root, as in a container, a browser only starts without its sandbox.
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    command = [browser, *OPTIONS, *root, f"--user-data-dir={profile}", f"--print-to-pdf={made}", page.as_uri()]
    try:
        ran = subprocess.run(command, capture_output=True, text=True, errors="replace", timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return f" within {SECONDS} seconds"
    lines = [line for line in ran.stderr.splitlines() if line.strip()]
    return f" (code {ran.returncode}: {lines[-1][:160]})" if ran.returncode and lines else ""
