"""Running commands inside the test, on the base knowledge that is read once."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import pytest
from sparkgap import cli
from sparkgap.commands import check, common
from sparkgap.knowledge import load
from sparkgap.knowledge.schemas import validator

from tests.loaded import BASE, base


@dataclass
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str

    def json(self, schema: str) -> Any:
        """The output as JSON, held to its schema."""
        value = json.loads(self.out)
        validator(schema).validate(value)
        return value


@pytest.fixture
def run(capsys, monkeypatch):
    """``run("calc", "wire-drop")`` as ``sparkgap --root BASE calc wire-drop``; another root is read afresh."""
    for module in (common, check):
        monkeypatch.setattr(module, "load", lambda root: base() if root == BASE else load(root))

    def go(*arguments: str, root=BASE) -> Ran:
        try:
            code = cli.main(["--root", str(root), *arguments])
        except SystemExit as stop:
            code = stop.code
        return Ran(code, *capsys.readouterr())

    return go
