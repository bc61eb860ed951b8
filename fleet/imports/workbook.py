"""XLSX sheets as rows of text, each cell as a person would have typed it."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterator, Sequence
from typing import Any

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from fleet.imports.archive import Sheet, hollow_cells, look_inside
from fleet.imports.complaints import Complaints, FileError
from fleet.imports.table import LONGEST_CELL, Row, Table, Trap, column_letters

COMMENTS_LISTED = 40
MOST_LOOKED_AT = 50
"""Sheets, for the first that holds rows, and then for others that hold any."""


def read_workbook(data: bytes) -> Table:
    """Rows of the first visible sheet that holds any; raises FileError for what cannot be read."""
    sheets = look_inside(data)
    complaints = Complaints()
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = _visible(workbook)
        seen: set[str] = set()
        for position, name in enumerate(names[:MOST_LOOKED_AT]):
            inside = sheets.get(name, Sheet())
            if inside.part in seen:
                continue
            seen.add(inside.part)
            sheet = workbook.get_sheet_by_name(name)
            if rows := list(_rows(sheet)):
                _note_others(sheets, name, names[position + 1 :], complaints)
                _note_comments(inside.commented, complaints)
                traps = (*_merged(sheet), *hollow_cells(inside.xml))
                return Table(rows, complaints, traps)
    except PasswordError:
        raise FileError("password") from None
    except CalamineError as error:
        raise FileError("workbook_broken", said=str(error)) from None
    return Table([], complaints)


def _visible(workbook: CalamineWorkbook) -> list[str]:
    return [
        sheet.name
        for sheet in workbook.sheets_metadata
        if sheet.typ == SheetTypeEnum.WorkSheet and sheet.visible == SheetVisibleEnum.Visible
    ]


def _note_others(
    sheets: dict[str, Sheet], used: str, others: list[str], complaints: Complaints
) -> None:
    looked_at = others[:MOST_LOOKED_AT]
    filled = [name for name in looked_at if name in sheets and sheets[name].is_filled]
    if more := len(others) - len(looked_at):
        filled.append(f"{more} more, not looked at")
    if filled:
        complaints.note("other_sheets", seen=used, others=", ".join(filled))


def _note_comments(commented: Sequence[str], complaints: Complaints) -> None:
    if commented:
        listed = ", ".join(commented[:COMMENTS_LISTED])
        more = len(commented) - COMMENTS_LISTED
        where = f"{listed} and {more} more" if more > 0 else listed
        complaints.note("comments", count=len(commented), where=where)


def _merged(sheet: CalamineSheet) -> Iterator[Trap]:
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or []:
        place = f"{column_letters(left)}{top + 1}:{column_letters(right)}{bottom + 1}"
        yield Trap("merged", top + 1, bottom + 1, left, right, place)


def _rows(sheet: CalamineSheet) -> Iterator[Row]:
    for number, cells in enumerate(sheet.to_python(skip_empty_area=False), start=1):
        texts = [cell if type(cell) is str else _as_text(cell) for cell in cells]
        if max(map(len, texts), default=0) > LONGEST_CELL:
            raise FileError("cell_too_long", row=number, longest=LONGEST_CELL)
        if any(text and not text.isspace() for text in texts):
            yield number, texts


def _as_text(value: Any) -> str:
    """12.0 is ``12``, midnight of a day is the day."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime.datetime):
        midnight = value.time() == datetime.time()
        return value.date().isoformat() if midnight else value.isoformat(" ", "minutes")
    if isinstance(value, datetime.time):
        return value.isoformat("minutes")
    return str(value)
