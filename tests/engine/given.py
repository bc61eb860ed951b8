"""The outside cases of fixtures/cases/engine.json, with their data files."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

CASES = Path(__file__).parents[2] / "fixtures" / "cases"


def case(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Inputs and expected values of a case; its source stands beside it in the file."""
    cases = json.loads((CASES / "engine.json").read_text(encoding="utf-8"))
    found = next(entry for entry in cases if entry["id"] == name)
    return found["inputs"], found["expected"]


def columns(file: str, *names: str) -> list[list[float]]:
    """Columns of a case's data file."""
    with (CASES / file).open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return [[float(row[name]) for row in rows] for name in names]
