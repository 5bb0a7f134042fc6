"""A new job file from what was typed on the command line."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from .file import FORMAT, VERSION, Job


def begin_job(symptom: str, unit: tuple[str | None, str], plate: Mapping[str, Any], evidence: Mapping[str, Any],
              judged: Mapping[str, Any], digest: str) -> Job:
    """An open job with the evidence as its log. ``unit`` is a listed unit's id, or None, and what people call it.

    ``judged`` holds the judgement of each reading. What stands open is no entry: a log begins with all closed.
    """
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    log = [{"kind": "replaced", "at": now, "part": one["part"], "when": one["when"]} for one in evidence["replaced"]]
    log += [_answer(now, gid, result, judged.get(gid)) for gid, result in sorted(evidence["results"].items())]
    log += [{"kind": "aside", "at": now, "id": gid} for gid in evidence["aside"]]
    log += [{"kind": "failed", "at": now, "id": gid} for gid in evidence["failed"]]
    return {
        "format": FORMAT, "version": VERSION, "id": str(uuid.uuid4()), "opened": now, "changed": now, "closed": None,
        "who": sorted(set(evidence["who"])), "unit": {"id": unit[0], "title": unit[1], "plate": dict(plate)},
        "complaint": "", "symptom": symptom, "knowledge": digest, "log": log,
    }


def _answer(now: str, gid: str, result: Mapping[str, Any], judgement: Any) -> dict[str, Any]:
    weights = result["v"]
    entry = {"kind": "answer", "at": now, "id": gid, "v": dict(weights), "hearsay": bool(result["hearsay"]),
             "answer": max(sorted(weights), key=lambda name: weights[name])}
    if judgement is not None:
        entry.update(verdict=judgement.verdict, within=min(1.0, max(0.0, judgement.v_within)))
        if judgement.verdict == "too-close":
            entry["answer"] = None
    return entry
