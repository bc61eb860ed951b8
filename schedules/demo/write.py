"""The demo fleet as the two files people have: fans as CSV, records as JSON lines."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping

from fleet.imports.columns import COLUMNS

HEADINGS = tuple(column.heading for column in COLUMNS)


def fleet_csv(rows: Iterable[Mapping[str, str]]) -> bytes:
    """One line per fan under every documented heading."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, HEADINGS, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def visits_jsonl(records: Iterable[Mapping[str, object]]) -> bytes:
    """One record per line."""
    return "".join(json.dumps(record) + "\n" for record in records).encode()
