"""The least that reading the knowledge takes: libyaml's C loader and a compiled JSON Schema, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import yaml
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

SCHEMAS = Path(__file__).resolve().parents[2] / "schema"
FOLDERS = {"tables": "table", "units": "unit", "calculators": "calculator", "symptoms": "symptom", "faults": "faults"}


def compiled() -> dict[str, Draft202012Validator]:
    """The schemas, each compiled once."""
    schemas = {path.name.removesuffix(".schema.json"): json.loads(path.read_text(encoding="utf-8"))
               for path in SCHEMAS.glob("*.schema.json")}
    registry = Registry().with_resource("common.schema.json", Resource.from_contents(schemas["common"]))
    return {name: Draft202012Validator(schema, registry=registry) for name, schema in schemas.items()}


def files(root: Path) -> list[tuple[Path, str]]:
    """Every file of the knowledge with the name of its schema."""
    found = [(path, path.stem) for path in sorted((root / "kb").glob("*.yaml"))]
    for folder, schema in FOLDERS.items():
        found += [(path, schema) for path in sorted((root / "kb" / folder).rglob("*.yaml"))]
    return found + [(path, "procedure") for path in sorted((root / "procedures").rglob("*.md"))]


def read(root: Path, validators: dict[str, Draft202012Validator]) -> int:
    """Read and validate everything. Returns the number of errors."""
    return sum(len(list(validators[schema].iter_errors(_data(path)))) for path, schema in files(root))


def _data(path: Path) -> Any:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        text = text.split("\n---\n", 1)[0].removeprefix("---\n")
    return yaml.load(text, Loader=yaml.CSafeLoader)
