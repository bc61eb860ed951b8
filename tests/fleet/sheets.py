"""Small fleet files for tests, and importing them."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from typing import Any

import openpyxl
from django.db.models import Model

from fleet.imports.applying import PARENTS_FIRST
from fleet.imports.report import ImportReport
from fleet.services.imports import import_fleet, read_fleet

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
PLAIN = {
    "Owner": "Ashdown Kitchens",
    "Site": "Mill Lane",
    "Time zone": "America/Chicago",
    "System": "Main line",
    "Tag": "EF-1",
}
FULL = PLAIN | {
    "Owner email": "office@ashdown.example",
    "Agreement start": "2025-01-01",
    "Visits per year": "6",
    "Cooking classes": "high; moderate",
    "Hours": "Mon-Sat 10:00-23:00; Sun 11-21",
    "Installed on": "2021-05-18",
    "Serial": "A1",
    "Drive": "belt",
    "Motor type": "three phase",
    "Volts": "208-230/460",
    "Full-load amps": "3.3-3.2/1.6",
    "Power (hp)": "1",
    "Panel": "RP-2",
    "Poles": "3",
}


def csv_file(*rows: dict[str, str], delimiter: str = ",") -> bytes:
    """A CSV file whose headings are the keys of all rows together."""
    headings = list(dict.fromkeys(key for row in rows for key in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, headings, restval="", delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def workbook(*rows: list[Any], merge: str = "") -> bytes:
    """An XLSX file of one sheet, cells as given."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in rows:
        sheet.append(row)
    if merge:
        sheet.merge_cells(merge)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def bring(data: bytes, **options: Any) -> ImportReport:
    """Import a file as nobody in particular."""
    told = {"name": "fans.csv", "by": None, "now": NOW} | options
    return import_fleet(file=read_fleet(data=data, now=told["now"]), **told)


def row_counts() -> dict[type[Model], int]:
    """How many rows each table of the register holds."""
    return {model: model._default_manager.count() for model in PARENTS_FIRST}


def codes(report: ImportReport) -> list[tuple[int, str, str]]:
    """Row, column and code of every complaint."""
    return [(said.row, said.column, said.code) for said in report.complaints]
