"""Checkers of formats, apart from what writes ours: from their standards, or well-kept libraries.

Each is first held against documents of which it is known whether they are valid
(fixtures/cases/formats.json, with its sources), then asked about what this project sends.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import jsonschema_rs
from geojson_pydantic import Feature, FeatureCollection
from geojson_pydantic.geometries import Geometry
from pydantic import TypeAdapter, ValidationError

CASES = Path(__file__).parents[2] / "fixtures" / "cases"

GEOJSON: TypeAdapter[Any] = TypeAdapter(FeatureCollection | Feature | Geometry)


def case(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Inputs and expected values of a case; its source stands beside it in the file."""
    cases = json.loads((CASES / "formats.json").read_text(encoding="utf-8"))
    found = next(entry for entry in cases if entry["id"] == name)
    return found["inputs"], found["expected"]


def is_one_click(headers: Mapping[str, str | None]) -> bool:
    """RFC 8058, 3.1: an https address among those of RFC 2369, and exactly the one pair."""
    addresses = re.findall(r"<([^<>\s]+)>", headers["list_unsubscribe"] or "")
    by_https = any(address.startswith("https://") for address in addresses)
    return by_https and headers["list_unsubscribe_post"] == "List-Unsubscribe=One-Click"


def is_calendar(text: str) -> bool:
    """RFC 5545, 3.6 and 3.6.1: what a calendar and each event in it must and must not have."""
    lines = re.sub(r"\r\n[ \t]", "", text).split("\r\n")
    whole = {re.split("[:;]", line)[0] for line in lines}
    return {"PRODID", "VERSION"} <= whole and all(map(_is_event, _events(lines)))


def is_geojson(document: Any) -> bool:
    """RFC 7946, as geojson-pydantic reads it."""
    try:
        GEOJSON.validate_json(json.dumps(document))
    except ValidationError:
        return False
    return True


def is_problem(body: Any) -> bool:
    """RFC 9457, appendix A, the schema written out beside the cases."""
    schema = json.loads((CASES / "data" / "problem_details.schema.json").read_text())
    return jsonschema_rs.Draft202012Validator(schema, validate_formats=True).is_valid(body)


def _events(lines: list[str]) -> list[list[str]]:
    begins = [at for at, line in enumerate(lines) if line == "BEGIN:VEVENT"]
    return [lines[at : lines.index("END:VEVENT", at)] for at in begins]


def _is_event(lines: list[str]) -> bool:
    names = [re.split("[:;]", line)[0] for line in lines]
    once = all(names.count(name) == 1 for name in ("UID", "DTSTAMP", "DTSTART"))
    return once and not {"DTEND", "DURATION"} <= set(names)
