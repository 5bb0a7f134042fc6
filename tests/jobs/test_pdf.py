"""The papers as they leave the printer: pages, text inside the page, nothing cut off, the code read by another reader.

One browser prints all of them; one card also goes the way of the command, and comes out the same.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cached_property
from html import unescape
from pathlib import Path

import pytest
from sparkgap.jobs import pdf
from sparkgap.jobs.card import render_card
from sparkgap.jobs.code import AddressRefused, code_of
from sparkgap.jobs.findings import job_findings
from sparkgap.jobs.owner_sheet import sheet_data, sheet_html
from sparkgap.jobs.replay import replay
from sparkgap.jobs.report_paper import red_tag_html, report_html

from tests.jobs.papers import full_job, left_off
from tests.loaded import shipped

Box = tuple[float, ...]  # left, top, right, bottom in points
SITE = "https://repair.example/shop/"
SIZES = {"letter": (612.0, 792.0), "a4": (594.96, 841.92)}
# Cards of three pages. Each has five to fifteen gates, seven to twelve checks and four to nine remedies, over 12 500
# characters in all: more than fits two pages in 9 pt. Smaller type could not be read at arm's length, and a card
# without the gates' or checks' words would send people into the work without them. A card that fits again leaves this
# list.
THREE = {
    "letter": {"leak-finding", "leak-search", "mains-supply-at-the-heater", "relief-valve-and-expansion",
               "tankless-start", "tankless-water-flow", "too-hot"},
    "a4": {"leak-finding", "leak-search", "mains-supply-at-the-heater", "relief-valve-and-expansion", "too-hot"},
}
SMALLEST = 12.0  # CSS pixels: 9 pt
SETTLE = """() => { const small = [], wide = [], card = document.body.firstElementChild.getBoundingClientRect();
  for (const one of document.body.querySelectorAll('*')) {
    const box = one.getBoundingClientRect();
    const own = [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    if (own && parseFloat(getComputedStyle(one).fontSize) < SMALLEST - 0.01) small.push(one.className || one.tagName);
    const spills = one.clientWidth && one.scrollWidth > one.clientWidth + 1;
    if (box.right > card.right + 1.5 || spills) wide.push((one.getAttribute('class') || one.tagName) + box.right);
  }
  const numbers = [...document.querySelectorAll('ol > li')].map((one) => [...one.parentNode.children].indexOf(one) + 1);
  const head = document.querySelector('thead');
  return { small, wide, text: document.body.innerText + ' ' + numbers.join(' '), head: head ? head.innerText : '' };
}""".replace("SMALLEST", str(SMALLEST))

pytestmark = pytest.mark.browser


class Printed:
    """A document as the browser laid it out and printed it."""

    def __init__(self, file: Path, seen: dict) -> None:
        self.file, self.seen = file, seen

    def tool(self, *command: str) -> str:
        return subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout

    @cached_property
    def words(self) -> list[list[tuple[str, Box]]]:
        """The words of each page, with the box that each stands in."""
        pages = self.tool("pdftotext", "-bbox", str(self.file), "-").split("<page ")[1:]
        word = r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>'
        return [[(unescape(text), tuple(map(float, box))) for *box, text in re.findall(word, page)] for page in pages]

    @cached_property
    def pages(self) -> int:
        return len(self.words)

    @cached_property
    def texts(self) -> list[str]:
        """The text of each page."""
        return [" ".join(word for word, _ in page) for page in self.words]

    @cached_property
    def text(self) -> str:
        return " ".join(self.texts)

    def outside(self, paper: str) -> list[str]:
        """Words that do not lie on the page."""
        width, height = SIZES[paper]
        words = [one for page in self.words for one in page]
        assert len(words) > 20
        return [word for word, (left, top, right, bottom) in words
                if not (0 < left < right < width and 0 < top < bottom < height)]

    def code(self, page: int) -> str:
        """What a reader makes of the code on a page."""
        zxingcpp, image = pytest.importorskip("zxingcpp"), pytest.importorskip("PIL.Image")
        made = self.file.with_suffix(f".{page}")
        self.tool("pdftoppm", "-r", "110", "-gray", "-png", "-singlefile", "-f", str(page), "-l", str(page),
                  "-x", "600", "-y", "0", "-W", "400", "-H", "200", str(self.file), str(made))
        with image.open(f"{made}.png") as picture:
            (found,) = zxingcpp.read_barcodes(picture)
        return found.text


@pytest.fixture(scope="module")
def printer(browser: object, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Printed]]:
    """Print documents, all with one browser: printer(html) or printer(html, "a4")."""
    if not shutil.which("pdftotext"):
        pytest.skip("no pdftotext: install poppler-utils")

    folder = tmp_path_factory.mktemp("printed")
    page = browser.new_page()
    page.emulate_media(media="print")

    def printed(html: str, paper: str = "letter") -> Printed:
        file = folder / f"{len(list(folder.glob('*.pdf')))}.pdf"
        page.set_viewport_size({"width": round((SIZES[paper][0] / 72 * 25.4 - 16) / 25.4 * 96), "height": 1000})
        page.set_content(html)
        seen = page.evaluate(SETTLE)
        page.pdf(path=str(file), prefer_css_page_size=True)
        return Printed(file, seen)

    yield printed
    page.close()


def letters(text: str) -> Counter[str]:
    """How often each letter and digit stands in a text: lines and pages may break it anywhere."""
    return Counter(one for one in text.casefold() if one.isalnum())


def numbered(made: Printed) -> Counter[str]:
    """The letters of a document and of the numbers of its pages."""
    wanted = letters(made.seen["text"])
    for page in range(1, made.pages + 1):
        wanted += letters(f"page {page} of {made.pages}")
    return wanted


def whole_card(made: Printed) -> None:
    """Every letter of a card is in the PDF, its head on each page, and nothing else."""
    wanted = numbered(made)
    for _ in range(made.pages - 1):
        wanted += letters(made.seen["head"])
    assert letters(made.text) == wanted


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_shipped_procedure_prints_whole_on_two_pages(printer, paper):
    three = set()
    for name in shipped().procedures:
        made = printer(render_card(shipped(), name, site=SITE, paper=paper), paper)
        assert (made.seen["small"], made.seen["wide"], made.outside(paper)) == ([], [], []), name
        assert made.pages <= 3, name
        three |= {name} if made.pages == 3 else set()
        if paper == "letter":
            whole_card(made)
            page = Path(shipped().procedures[name].place.path).with_suffix(".html")
            assert made.code(1) == f"{SITE}{page}"
    assert three == THREE[paper]


def test_head_with_job_unit_and_code_stands_on_each_page(printer):
    full = full_job()
    findings = job_findings(shipped(), full, replay(shipped(), full))
    made = printer(render_card(shipped(), "flame-sense", findings))
    assert made.pages == 2
    for number, text in enumerate(made.texts, 1):
        for part in ("D-1042", "Demo twelve, serial DEMO-7", "flame-sense · revision", f"page {number} of 2"):
            assert part in text, (number, part)
        assert made.code(number) == "flame-sense"
    assert "It runs eleven minutes and quits" in made.text and "3.1 uA" in made.text
    whole_card(made)


def test_the_other_papers_print_whole(printer):
    full, off = full_job(), left_off()
    for paper in SIZES:
        for html, pages in ((report_html(shipped(), full, replay(shipped(), full), paper), 2),
                            (sheet_html(sheet_data(shipped(), "burner-quits-early"), paper), 3)):
            made = printer(html, paper)
            assert (made.seen["small"], made.seen["wide"], made.outside(paper)) == ([], [], [])
            assert made.pages <= pages
            assert numbered(made) - letters(made.text) == Counter()  # a table's head may stand there twice
        tag = printer(red_tag_html(shipped(), off, paper), paper)
        assert (tag.seen["small"], tag.outside(paper), tag.pages) == ([], [], 1)


def test_the_longest_red_tag_still_prints_whole(printer):
    tag = printer(red_tag_html(shipped(), left_off(why="why not " * 125, shut="shut it " * 62, before="before " * 142)))
    assert tag.outside("letter") == [] and tag.pages <= 2
    assert letters(tag.text) == letters(tag.seen["text"])


def test_the_command_prints_the_same_card(printer, tmp_path):
    html = render_card(shipped(), "spark-electrode", site=SITE)
    made = printer(html)
    pdf.write_pdf(html, tmp_path / "card.pdf")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["card.pdf"]
    other = Printed(tmp_path / "card.pdf", {})
    assert (other.text, other.pages, other.code(2)) == (made.text, made.pages, made.code(2))


def test_a_browser_that_is_not_there_is_said_with_what_to_do(tmp_path, monkeypatch):
    monkeypatch.setenv("SPARKGAP_BROWSER", "no-such-browser")
    with pytest.raises(pdf.PdfRefused, match="SPARKGAP_BROWSER names no-such-browser, which cannot be run"):
        pdf.write_pdf("<p>", tmp_path / "x.pdf")
    monkeypatch.delenv("SPARKGAP_BROWSER")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(pdf, "_usual_places", lambda: iter(()))
    with pytest.raises(pdf.PdfRefused, match="install Chromium, Chrome or Edge"):
        pdf.find_browser()


def test_a_browser_that_fails_leaves_the_file_as_it_was(tmp_path, monkeypatch):
    broken = tmp_path / "bin" / "broken"
    broken.parent.mkdir()
    broken.write_text("#!/bin/sh\necho 'it is broken' >&2\nexit 3\n")
    broken.chmod(0o755)
    monkeypatch.setenv("SPARKGAP_BROWSER", str(broken))
    (tmp_path / "card.pdf").write_text("old")
    with pytest.raises(pdf.PdfRefused, match=r"made no PDF \(code 3: it is broken\)"):
        pdf.write_pdf("<p>", tmp_path / "card.pdf")
    assert (tmp_path / "card.pdf").read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bin", "card.pdf"]
    with pytest.raises(pdf.PdfRefused, match="name a place that can be written"):
        pdf.write_pdf("<p>", tmp_path / "none" / "card.pdf")


def test_a_site_must_be_an_address():
    procedure = shipped().procedures["burner-tube"]
    for site in ("https://repair.example", "http://127.0.0.1:8000/", "http://shop.local/rv/"):
        assert code_of(procedure, site).holds == f"{site.rstrip('/')}/procedures/water-heating/burner-tube.html"
    for site in ("repair.example", "javascript:alert(1)", "https://", "https://a/ b", "http://x/" + "y" * 300):
        with pytest.raises(AddressRefused):
            code_of(procedure, site)
    assert (code_of(procedure).holds, code_of(procedure).words) == ("burner-tube", "Scan or search: burner-tube")
