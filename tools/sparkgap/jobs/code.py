"""The square code on a card that opens its procedure on a tablet.

With the address of a site the code holds the page's address. A shop may have no public site: it serves its copy in
the house or opens it from a folder, and no address would be right for every tablet. The code then holds the name of
the procedure, which a camera shows as text, and the words beside it say so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import PurePosixPath

import segno

from ..knowledge.acts import Procedure

LONGEST = 200  # characters of a site's address: a longer one makes a code too fine to print
_ADDRESS = re.compile(r"https?://[A-Za-z0-9\[\]][A-Za-z0-9.:\[\]-]*(/[\w.~%!$&'()*+,;=:@/-]*)?")


class AddressRefused(ValueError):
    """A text that is not the address of a site."""


@dataclass(frozen=True)
class Code:
    """holds: the text in the code; words: what stands beside it; svg: the code as a picture."""

    holds: str
    words: str
    svg: str


def page_address(procedure: Procedure, site: str) -> str:
    """The address of a procedure's page on a site. Raises AddressRefused."""
    if len(site) > LONGEST or not _ADDRESS.fullmatch(site):
        raise AddressRefused(f"{site[:60]!r} is no address of a site, such as https://repair.example/")
    page = PurePosixPath(procedure.place.path).with_suffix(".html")
    return f"{site.rstrip('/')}/{page}"


def code_of(procedure: Procedure, site: str = "") -> Code:
    """The code of a procedure. Raises AddressRefused for a site that is no address."""
    if site:
        text, words = page_address(procedure, site), "Scan to open this procedure"
    else:
        text, words = procedure.id, f"Scan or search: {procedure.id}"
    return Code(text, words, picture(text))


def picture(text: str) -> str:
    """A text as an SVG with its quiet margin of four modules, readable with 15 % of it soiled."""
    made = segno.make(text, error="m", micro=False)
    return made.svg_inline(border=4, omitsize=True, svgclass="card-code-picture", lineclass=None)
