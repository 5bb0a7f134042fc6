"""The files of kb/ and procedures/: reading their text, and the digest that stands for all of them."""

from __future__ import annotations

import hashlib
import re
import stat
from collections.abc import Mapping
from pathlib import Path

from ..problems import ODD, Problem

MAX_BYTES = 2_000_000
_BREAKS = re.compile("\r\n?")


def read_text(path: Path, shown: str) -> str | Problem:
    """The text of a file, or the problem that it cannot be read."""
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            return unreadable(shown, "a directory where a file belongs", "rename or remove it")
        if not stat.S_ISREG(found.st_mode):  # reading a pipe would wait for ever
            return unreadable(shown, "no ordinary file", "put a text file in its place")
        if found.st_size > MAX_BYTES:
            return unreadable(shown, f"larger than {MAX_BYTES:,} bytes", "split it")
        text = _BREAKS.sub("\n", path.read_bytes().decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        return unreadable(shown, f"not UTF-8 at byte {error.start}", "save it as UTF-8")
    except OSError as error:
        return unreadable(shown, error.strerror or "cannot be read", "check name and permissions")
    odd = ODD.search(text)
    if odd:  # YAML and editors count lines differently at these, so that no place could be trusted
        line, column = text.count("\n", 0, odd.start()) + 1, odd.start() - text.rfind("\n", 0, odd.start())
        return Problem(shown, line, column, "file-unreadable",
                       f"the invisible character U+{ord(odd[0]):04X} stands here", "take it out, or type a space")
    return text


def unreadable(shown: str, message: str, fix: str) -> Problem:
    """The problem of a file or folder that cannot be read."""
    return Problem(shown, 1, 1, "file-unreadable", message, fix)


def digest_of(text: str) -> str:
    """The digest of one file's text."""
    return hashlib.sha256(text.encode()).hexdigest()


def digest_of_all(files: Mapping[str, str]) -> str:
    """A short digest of paths with their digests, in the order of reading."""
    return hashlib.sha256("".join(f"{shown} {one}\n" for shown, one in files.items()).encode()).hexdigest()[:16]
