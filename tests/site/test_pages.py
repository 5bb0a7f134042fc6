"""The built site: every page is there, every link leads somewhere, nothing is inline or loaded from elsewhere."""

from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.knowledge import Knowledge
from sparkgap.site.facts import Facts
from sphinx.util.inventory import InventoryFile

from .builds import Built
from .pages import Page, read_page

pytestmark = pytest.mark.site
CSP = ("default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
       "connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'")
INDEXES = ("index", "symptoms", "procedures", "faults", "calculators", "tolerances", "tools", "parts", "gates",
           "sources", "units", "jobs", "stop", "refusals")


@pytest.fixture(scope="module")
def pages(site: Built) -> dict[str, Page]:
    return {str(path.relative_to(site.out)): read_page(path) for path in sorted(site.out.rglob("*.html"))}


def test_the_strict_build_says_nothing(site: Built) -> None:
    assert (site.status, site.warnings) == (0, "")


def test_every_entity_with_a_page_has_one_and_there_are_no_others(pages: dict[str, Page], knowledge: Knowledge) -> None:
    expected = {"index.html", "search.html", *(f"kb/{name}.html" for name in INDEXES)}
    expected |= {f"kb/symptoms/{s.system}/{s.id}.html" for s in knowledge.symptoms.values()}
    expected |= {f"kb/calculators/{name}.html" for name in knowledge.calculators}
    expected |= {f"kb/faults/{name}.html" for name in knowledge.fault_pages}
    expected |= {f"procedures/{p.system}/{p.id}.html" for p in knowledge.procedures.values()}
    assert set(pages) == expected


def test_every_link_leads_to_a_file_and_an_anchor_of_the_site(pages: dict[str, Page], site: Built) -> None:
    broken = []
    for name, page in pages.items():
        for address in page.addresses():
            parts = urlsplit(address)
            target = ((site.out / name).parent / unquote(parts.path)).resolve() if parts.path else site.out / name
            inside = parts.scheme == "" and parts.netloc == "" and target.is_relative_to(site.out.resolve())
            found = not (parts.path and not inside) and target.is_file()
            if found and parts.fragment:
                found = parts.fragment in pages[str(target.relative_to(site.out.resolve()))].ids
            if not found:
                broken.append((name, address))
    assert broken == []


def test_no_anchor_stands_twice_on_a_page(pages: dict[str, Page]) -> None:
    doubles = {name: sorted({i for i in page.ids if page.ids.count(i) > 1}) for name, page in pages.items()}
    assert {name: found for name, found in doubles.items() if found} == {}


def test_nothing_is_inline(pages: dict[str, Page]) -> None:
    inline = []
    for name, page in pages.items():
        inline += [(name, tag) for tag, attributes in page.elements
                   if tag == "style" or any(a == "style" or a.startswith("on") for a in attributes)]
        inline += [(name, "script") for attributes, text in page.scripts
                   if text and attributes.get("type") != "application/json"]
    assert inline == []


def test_every_page_states_the_same_strict_policy(pages: dict[str, Page]) -> None:
    stated = {attributes["content"] for page in pages.values() for tag, attributes in page.elements
              if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy"}
    counts = {sum(1 for tag, attributes in page.elements if attributes.get("http-equiv")) for page in pages.values()}
    assert (stated, counts) == ({CSP}, {1})


def test_the_inventory_names_every_thing_at_an_anchor_that_exists(
        site: Built, pages: dict[str, Page], knowledge: Knowledge) -> None:
    with open(site.out / "objects.inv", "rb") as stream:
        inventory = InventoryFile.load(stream, "", lambda base, uri: uri)
    named = {kind.removeprefix("rv:"): set(found) for kind, found in inventory.items() if kind.startswith("rv:")}
    tolerances = {f"{p.id}/{t}" for p in knowledge.procedures.values() for t in p.tolerances}
    assert named == {
        "symptom": set(knowledge.symptoms), "fault": set(knowledge.faults), "check": set(knowledge.checks),
        "procedure": set(knowledge.procedures), "remedy": set(knowledge.remedies), "tolerance": tolerances,
        "calculator": set(knowledge.calculators), "tool": set(knowledge.tools), "part": set(knowledge.parts),
        "gate": set(knowledge.gates), "source": set(knowledge.sources), "unit": set(knowledge.units),
    }
    lost = [item.uri for kind, found in inventory.items() if kind.startswith("rv:") for item in found.values()
            if (anchor := item.uri.partition("#")[2]) and anchor not in pages[item.uri.partition("#")[0]].ids]
    assert lost == []


def test_a_symptom_page_carries_the_compiled_model_and_stays_text_without_script(
        site: Built, pages: dict[str, Page], knowledge: Knowledge) -> None:
    for symptom in knowledge.symptoms.values():
        page = pages[f"kb/symptoms/{symptom.system}/{symptom.id}.html"]
        model = next(text for attributes, text in page.scripts if attributes.get("id") == "sg-model")
        expected = json.loads(json.dumps(compile_symptom(knowledge, symptom.id)))
        del expected["digest"]
        assert json.loads(model) == expected
        assert "<" not in model
        said = " ".join(" ".join(page.text).split())
        assert [c["ask"] for c in json.loads(model)["checks"] if c["ask"] not in said] == []


def test_a_procedure_page_shows_all_that_it_declares(pages: dict[str, Page], knowledge: Knowledge) -> None:
    missing = []
    for procedure in knowledge.procedures.values():
        page = pages[f"procedures/{procedure.system}/{procedure.id}.html"]
        shown = {item for _, attributes in page.elements for item in attributes.items() if item[0].startswith("data-")}
        wanted = [("data-check", c.gid) for c in procedure.checks.values()]
        wanted += [("data-remedy", r.gid) for r in procedure.remedies.values()]
        wanted += [("data-gate", gate) for gate in procedure.safety_gates]
        missing += [(procedure.id, *item) for item in wanted if item not in shown]
    assert missing == []


def test_the_scripts_of_a_page_are_files_of_the_site(site: Built, pages: dict[str, Page]) -> None:
    for name, page in pages.items():
        for attributes, text in page.scripts:
            if not text:
                assert ((site.out / name).parent / attributes["src"]).resolve().is_file(), (name, attributes)


def test_front_matter_is_published_nowhere(site: Built) -> None:
    assert not list(site.out.rglob("*.md*")) and not [p for p in (site.out / "_sources").rglob("*") if p.is_file()]
    assert "safety_gates:" not in "".join(p.read_text(encoding="utf-8") for p in Path(site.out).rglob("*.html"))


def test_the_list_of_a_page_holds_the_checks_of_its_guide(knowledge: Knowledge) -> None:
    facts = Facts(knowledge)
    for sid in knowledge.symptoms:
        assert set(facts.symptom_checks(sid)) == {check["id"] for check in compile_symptom(knowledge, sid)["checks"]}


def test_a_symptom_lists_no_procedure_of_another_appliance(pages: dict[str, Page]) -> None:
    shown = pages["kb/symptoms/water-heating/no-ignition-attempt.html"].addresses()
    assert not [one for one in shown if "/space-heating/" in one or "/refrigeration/" in one]
