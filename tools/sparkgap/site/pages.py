"""What the templates are given for each page: its kind, its scripts, and on a symptom page the model of the guide."""

from __future__ import annotations

import json
from typing import Any

from ..jobs.card import card_data
from ..jobs.findings import Findings
from . import words
from .documents import procedure_context
from .facts import Facts, facts_of
from .guideview import guide_view

JOB = ("job-photos.js", "job-store.js", "job.js", "job-moved.js")
EVERY = (*JOB, "quantities.js", "plate.js", "job-bar.js")
JUDGE = ("formulas.js", "verdict.js", "reading.js")
GUIDE = ("guide-cards.js", "guide-causes.js", "guide-found.js", "guide-known.js", "guide-notices.js", "guide-stops.js",
         "guide-owner.js", "guide.js")
SCRIPTS: dict[str, tuple[str, ...]] = {
    "front": (*EVERY, "intake.js", "front.js"),
    "symptom": (*EVERY, *JUDGE, "belief.js", "plan.js", "outlook.js", "reasons.js", "truck.js", "gates.js",
                *GUIDE),
    "procedure": (*EVERY, *JUDGE, "calculator.js", "print.js"),
    "calculator": (*EVERY, "formulas.js", "calculator.js"),
    "jobs": (*EVERY, "job-file.js", "job-picture.js", "job-sheet.js", "jobs.js"),
}
FOLDERS = {"kb/symptoms/": "symptom", "procedures/": "procedure", "kb/calculators/": "calculator",
           "kb/faults/": "fault"}


def kind_of(pagename: str) -> str:
    """The kind of a page by its name: it decides the scripts and the colour of the head."""
    if pagename in ("index", "search"):
        return "front" if pagename == "index" else "search"
    for folder, kind in FOLDERS.items():
        if pagename.startswith(folder):
            return kind
    return {"kb/stop": "stop", "kb/jobs": "jobs"}.get(pagename, "index")


def embedded(value: Any) -> str:
    """JSON that can stand in a script element of type application/json."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def front_context(facts: Facts) -> dict[str, Any]:
    """The systems with their symptoms and how owners say them, and the parts, for the front page."""
    symptoms = sorted(facts.knowledge.symptoms.values(), key=lambda s: (s.title, s.id))
    order = [s for s in words.SYSTEMS if any(x.system == s for x in symptoms)]
    return {
        "systems": [{"title": words.system_title(s), "id": s,
                     "symptoms": [{"id": x.id, "title": x.title, "doc": f"kb/symptoms/{x.system}/{x.id}"}
                                  for x in symptoms if x.system == s]} for s in order],
        "parts": [{"id": p.id, "title": p.title} for _, p in sorted(facts.knowledge.parts.items())],
        "counts": {"checks": len(facts.checks), "faults": len(facts.knowledge.faults),
                   "procedures": len(facts.knowledge.procedures), "calculators": len(facts.knowledge.calculators)},
        "demo_symptom": symptoms[0].phrases[0] if symptoms and symptoms[0].phrases else "",
    }


def blank_card(facts: Facts, name: str, site: str) -> dict[str, Any]:
    """The job card of a procedure without findings; the scripts fill it in.

    Without the knowledge's digest: it would change every card with every edit.
    """
    return {**card_data(facts.knowledge, facts.knowledge.procedures[name], Findings(), site), "digest": ""}


def on_page(app: Any, pagename: str, templatename: str, context: dict[str, Any], doctree: Any) -> str | None:
    """Fill the context of one page; the template to use when it is not the usual one."""
    facts = facts_of(app.env)
    kind = kind_of(pagename)
    depth = app.builder.get_target_uri(pagename).count("/")
    context["rv_kind"] = kind
    context["rv_root"] = "../" * depth
    context["rv_scripts"] = SCRIPTS.get(kind, EVERY)
    context["rv_data"] = kind in SCRIPTS
    context["rv_title"], context["rv_demo"] = facts.knowledge.title, facts.knowledge.demo
    name = pagename.rsplit("/", 1)[-1]
    if kind == "front":
        context["rv_front"] = front_context(facts)
    if kind == "symptom" and name in facts.knowledge.symptoms:
        model, view = guide_view(facts, app, pagename, name)
        context["rv_model"], context["rv_view"] = embedded(model), embedded(view)
    if kind == "procedure":
        context["rv_procedure"] = procedure_context(facts, pagename)
        if name in facts.knowledge.procedures:
            context["rv_card"] = blank_card(facts, name, app.config.html_baseurl)
        context["rv_symptoms"] = [(s, facts.title("symptom", s), app.env.get_domain("rv").find("symptom", s))
                                  for s in (context["rv_procedure"] or {}).get("symptoms", [])]
    return "jobs.html" if kind == "jobs" else None
