"""Text that is valid and means harm: built into a site with the real configuration, it comes out as text."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from sparkgap import cli
from sparkgap.knowledge import load
from sphinx.util.inventory import InventoryFile

from tests.loaded import BASE
from tests.site.builds import ROOT, Built, build
from tests.site.pages import Page, read_page

pytestmark = pytest.mark.site
EVIL = "</script><script>evil()</script><img src=x onerror=evil()> --> ]]> {{ 7*7 }} {% raw %} `a` [x](javascript:evil)"
SHORT = "<b onclick=evil()>\\\"'&amp;</b></title><script>evil()</script>{{7*7}}"
BODY = """
<script>evil()</script>

<img src=x onerror="evil()"> and <a href="javascript:evil()">here</a> and <b onclick="evil()">bold</b>

[a link](javascript:evil()) and [another](JaVaScRiPt:evil()) and <javascript:evil()>
and [data](data:text/html,<script>evil()</script>)

![picture](javascript:evil()) {{ 7*7 }} {% raw %}

<div style="position:fixed"><svg onload=evil()></svg></div>

[defined][1]

[1]: javascript:evil()
"""
FOREIGN = """
```{raw} html
<script>evil()</script>
```

```{include} gates.yaml
```
"""
TITLE = re.compile(r'^( *|.*\{)title: "[^"]*"', re.MULTILINE)
PROSE = re.compile(
    r"\b(says|ask|what|summary|how|otherwise|note|where|means|then|never|good|why|after|normal|item|help|call)"
    r': "[^"]*"'
)
# Elements that the site never writes: where one appears, it was let through from a text.
NEVER = {"style", "iframe", "object", "embed", "base", "svg", "math"}


def is_code(tag: str, attributes: dict) -> bool:
    """Whether an element is the drawn code of a job card, which the program makes itself."""
    return tag == "svg" and attributes.get("class") == "card-code-picture" and set(attributes) <= {
        "class", "viewbox", "viewBox", "xmlns"}


def hostile(root: Path) -> Path:
    """The base with every title, every prose and every text made hostile."""
    shutil.copytree(BASE, root)
    for path in sorted(root.rglob("*.*")):
        if path.suffix not in (".yaml", ".md"):
            continue
        text = path.read_text(encoding="utf-8")
        text = TITLE.sub(lambda m: f'{m[1]}title: "{SHORT}"', text)
        text = PROSE.sub(lambda m: f'{m[1]}: "{EVIL}"', text)
        path.write_text(text + (BODY if path.suffix == ".md" else ""), encoding="utf-8")
    for folder in ("conf", "schema"):
        shutil.copytree(ROOT / folder, root / folder)
    for path in (ROOT / "kb").glob("*.md"):
        shutil.copy(path, root / "kb")
    with (root / "kb/stop.md").open("a", encoding="utf-8") as file:  # a page that the check does not read
        file.write(FOREIGN)
    return root


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return hostile(tmp_path_factory.mktemp("hostile") / "knowledge")


@pytest.fixture(scope="module")
def site(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> Built:
    return build(sources, tmp_path_factory.mktemp("site"), strict=False)


@pytest.fixture(scope="module")
def pages(site: Built) -> dict[str, Page]:
    return {str(path.relative_to(site.out)): read_page(path) for path in sorted(site.out.rglob("*.html"))}


def test_the_hostile_text_is_sound_knowledge(sources):
    assert load(sources).problems == []


def test_the_site_is_built(site, pages):
    assert site.status == 0 and len(pages) > 15


def test_raw_html_and_foreign_files_are_refused_as_warnings(site):
    warned = [line.split("WARNING: ")[1] for line in site.warnings.splitlines() if "WARNING" in line]
    assert warned == ['"raw" directive disabled. [docutils]', 'Directive "include" disabled. [docutils]']


def test_raw_html_and_foreign_files_are_refused_in_a_procedure(sources, tmp_path):
    root = shutil.copytree(sources, tmp_path / "knowledge")
    path = root / "procedures/dc-power/supply.md"
    lines = path.read_text(encoding="utf-8").count("\n")
    with path.open("a", encoding="utf-8") as file:
        file.write(FOREIGN)
    assert [(one.path, one.line, one.code) for one in load(root).problems] == [
        ("procedures/dc-power/supply.md", lines + number, "directive-unknown") for number in (2, 6)]


def test_no_script_runs_from_a_page(pages):
    scripts = [
        (name, attributes, text)
        for name, page in pages.items()
        for attributes, text in page.scripts
        if text and attributes.get("type") != "application/json"
    ]
    assert scripts == []
    sources = {attributes["src"] for page in pages.values() for attributes, text in page.scripts if not text}
    assert all(re.fullmatch(r"(\.\./)*_static/[\w/.-]+\.js(\?v=\w+)?|(\.\./)*searchindex\.js", one) for one in sources)


def test_no_element_or_attribute_comes_from_a_text(pages):
    handlers = [
        (name, tag, key)
        for name, page in pages.items()
        for tag, attributes in page.elements
        for key in attributes
        if key.startswith("on") or key in ("style", "srcdoc", "formaction")
    ]
    assert handlers == []
    assert [(name, tag) for name, page in pages.items() for tag, attributes in page.elements
            if tag in NEVER and not is_code(tag, attributes)] == []
    pictures = {attributes["src"] for page in pages.values() for tag, attributes in page.elements if tag == "img"}
    assert {re.sub(r"^(\.\./)*", "", one) for one in pictures} == {"_static/img/mark.svg"}


def test_no_address_runs_anything(pages):
    addresses = {address for page in pages.values() for address in page.addresses()}
    assert [one for one in addresses if re.match(r"\s*(javascript|data|vbscript)\s*:", one, re.IGNORECASE)] == []


def test_nothing_is_filled_in(pages, site):
    assert all(
        ">49<" not in path.read_text("utf-8") and " 49 " not in path.read_text("utf-8")
        for path in site.out.rglob("*.html")
    )


def test_the_text_itself_is_shown(pages):
    said = " ".join(" ".join(pages["procedures/fresh-water/pump-checks.html"].text).split())
    assert EVIL in said


def test_what_scripts_read_closes_no_script(site, pages):
    blocks = [
        text
        for page in pages.values()
        for attributes, text in page.scripts
        if attributes.get("type") == "application/json"
    ]
    assert len(blocks) >= 2
    assert all("<" not in text and json.loads(text) for text in blocks)
    for name in ("sparkgap-data.js", "intake-data.js", "calculators.js"):
        text = (site.out / "_static" / name).read_text("utf-8")
        assert "evil()" in text and "</script" not in text and "<!--" not in text, name


def test_the_inventory_can_be_read(site, sources):
    with open(site.out / "objects.inv", "rb") as stream:
        inventory = InventoryFile.load(stream, "", lambda base, uri: uri)
    assert set(inventory["rv:procedure"]) == {"pump-checks", "supply"}
    assert len(inventory["rv:check"]) == len(load(sources).checks)


def test_the_job_card(sources, capsys):
    assert cli.main(["--root", str(sources), "card", "pump-checks"]) == 0
    printed = capsys.readouterr().out
    page = Page()
    page.feed(printed)
    assert page.scripts == [] and "evil()" in printed
    assert [(tag, key) for tag, attributes in page.elements for key in attributes if key.startswith("on")] == []
    assert [tag for tag, attributes in page.elements
            if tag in ("img", "svg") and not is_code(tag, attributes)] == []
