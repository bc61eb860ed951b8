"""Tables for spreadsheet programs: CSV that opens with its letters right and computes nothing."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

KIND = "text/csv; charset=utf-8"
STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""OWASP, CSV Injection: what spreadsheet programs take for the beginning of a formula."""


def csv_bytes(headings: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """A table by RFC 4180, in UTF-8 with the mark without which spreadsheets guess the letters.

    Text that would be a formula has an apostrophe before it; numbers stay numbers.
    """
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow(map(plain_cell, headings))
    writer.writerows([plain_cell(each) for each in row] for row in rows)
    return codecs.BOM_UTF8 + written.getvalue().encode()


def plain_cell(value: Any) -> Any:
    """The value as a cell that no program computes."""
    if isinstance(value, str) and value.startswith(STARTS_FORMULA):
        return f"'{value}"
    return value
