"""Dates as people type them: ISO first, month and day by the evidence of the whole column."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterable
from datetime import date
from typing import Literal

from fleet.imports.complaints import CellError

Order = Literal["", "month_first", "day_first", "both"]
LEAP_YEAR = 2000
EARLIEST = date(1950, 1, 1)
LATEST = date(2099, 12, 31)
MADE_A_DATE = re.compile(
    r"\d{4}-\d\d-\d\d(?:[ T]\d\d:\d\d(?::\d\d)?)?"
    r"|\d{1,2}-(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)"
)
"""What spreadsheets make of ``1-2`` and ``1/3``, in XLSX and in CSV."""
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}.*)?")
_NUMBERS = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?: 0{1,2}:00(?::00)?)?")
# The 20-03-04 inside 2020-03-04 proves nothing of how a file writes its other dates.
_NUMBERS_WITHIN = re.compile(rf"(?<!\d)(?:{_NUMBERS.pattern})(?!\d)")
_DAY_FIRST_WORD = re.compile(r"(\d{1,2})[ .-]+([a-z]{3,9})\.?[ ,-]+(\d{4}|\d{2})")
_MONTH_FIRST_WORD = re.compile(r"([a-z]{3,9})\.?[ -]+(\d{1,2})(?:st|nd|rd|th)?[ ,-]+(\d{4}|\d{2})")


def day_order(cells: Iterable[str]) -> Order:
    """What a column's unmistakable dates prove: 3/14/2026 is month first, 14/3/2026 day first."""
    orders: set[Order] = set()
    for cell in cells:
        for found in _NUMBERS_WITHIN.finditer(cell):
            first, second = int(found[1]), int(found[3])
            # a slip such as 31/02 is no day either way round and proves nothing
            if first > 12 and _exists(second, first):
                orders.add("day_first")
            elif second > 12 and _exists(first, second):
                orders.add("month_first")
    if len(orders) > 1:
        return "both"
    return orders.pop() if orders else ""


def _exists(month: int, day: int) -> bool:
    return 1 <= month <= 12 and 1 <= day <= monthrange(LEAP_YEAR, month)[1]


def read_day(text: str, order: Order = "") -> date:
    """One date between 1950 and 2099.

    Raises CellError: no date, no such day of the calendar, a year of two digits, or month and day
    that could be either while the column proves neither.
    """
    written = text.strip()
    year, month, day = _parts(written, order)
    try:
        found = date(year, month, day)
    except ValueError:
        raise CellError("no_such_day") from None
    if not EARLIEST <= found <= LATEST:
        raise CellError("day_out_of_range", low=EARLIEST.isoformat(), high=LATEST.isoformat())
    return found


def read_days(text: str, order: Order = "") -> list[date]:
    """Several dates parted by ``;``, line ends or, where all are whole, commas; sorted."""
    pieces = [piece.strip() for piece in re.split(r"[;\n|]", text)]
    try:
        return sorted({read_day(piece, order) for piece in pieces if piece})
    except CellError as error:
        if error.code != "not_a_day":
            raise
    try:
        return sorted({read_day(piece.strip(), order) for piece in re.split(r"[;\n|,]", text)})
    except CellError:
        raise CellError("not_days") from None


def _parts(text: str, order: Order) -> tuple[int, int, int]:
    iso = _ISO.fullmatch(text)
    if iso:
        return int(iso[1]), int(iso[2]), int(iso[3])
    numbers = _NUMBERS.fullmatch(text)
    if numbers:
        return _by_order(int(numbers[1]), int(numbers[3]), numbers[4], order)
    worded = _DAY_FIRST_WORD.fullmatch(text.casefold())
    if worded:
        return _full_year(worded[3]), _month(worded[2]), int(worded[1])
    worded = _MONTH_FIRST_WORD.fullmatch(text.casefold())
    if worded:
        return _full_year(worded[3]), _month(worded[1]), int(worded[2])
    if re.fullmatch(r"\d{5}(\.\d+)?", text):
        raise CellError("day_serial")
    if re.fullmatch(r"(\d{4}|\d{4}[-/]\d{1,2}|(\d{1,2}[-/]|[A-Za-z]{3,9}\.?[ -])\d{4})", text):
        raise CellError("day_incomplete")
    raise CellError("not_a_day")


def _by_order(first: int, second: int, year: str, order: Order) -> tuple[int, int, int]:
    found = _full_year(year)
    if first > 12 >= second or first == second:
        return found, second, first
    if second > 12 >= first:
        return found, first, second
    if order in ("", "both"):
        raise CellError("day_unclear")
    return (found, first, second) if order == "month_first" else (found, second, first)


def _full_year(written: str) -> int:
    if len(written) == 2:
        raise CellError("year_short")
    return int(written)


def _month(word: str) -> int:
    if word[:3] not in _MONTHS:
        raise CellError("not_a_day")
    return _MONTHS.index(word[:3]) + 1
