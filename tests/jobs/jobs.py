"""Job files for tests, invented."""

from __future__ import annotations

import copy
from typing import Any

AT = "2026-03-02T09:30:00Z"

_JOB = {
    "format": "sparkgap-job", "version": 1, "id": "demo-job-0001", "opened": AT, "changed": AT, "closed": None,
    "unit": {"id": "demo-twelve-gas-electric", "title": "Demo twelve", "plate": {}}, "complaint": "runs and quits",
    "symptom": "burner-quits-early", "knowledge": "", "log": [],
}


def job(*log: dict[str, Any], **keys: Any) -> dict[str, Any]:
    """A small open job with these entries and keys."""
    return {**copy.deepcopy(_JOB), "log": [{"at": AT, **entry} for entry in log], **keys}


def answer(check: str, name: str, **keys: Any) -> dict[str, Any]:
    """An entry for a plain answer."""
    return {"kind": "answer", "id": check, "answer": name, "v": {name: 1.0}, **keys}
