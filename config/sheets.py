"""Files for spreadsheets: what begins like a formula is text, and nothing in it is reckoned."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
"""With these a spreadsheet takes a cell for a formula, or looks past them for one."""


def plain_cell(value: object) -> object:
    """A text that no spreadsheet takes for a formula; numbers and days stay as they are."""
    if isinstance(value, str) and value.startswith(FORMULA_SIGNS):
        return f"'{value}"
    return value


def csv_answer(name: str, heading: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A CSV file (RFC 4180) to keep under a name; a mark tells spreadsheets that it is UTF-8."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(heading)
    writer.writerows([plain_cell(value) for value in row] for row in rows)
    answer = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
