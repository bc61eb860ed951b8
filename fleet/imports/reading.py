"""Whatever file comes in becomes a table of text, or is refused with the reason."""

from __future__ import annotations

from fleet.imports.complaints import FileError
from fleet.imports.delimited import read_delimited
from fleet.imports.table import MOST_BYTES, Table
from fleet.imports.workbook import read_workbook

_ZIP = b"PK\x03\x04"
_OLD_OFFICE = bytes.fromhex("d0cf11e0a1b11ae1")
_NO_TABLES = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"{\\rtf", b"GIF8", b"\x1f\x8b", b"PK\x05\x06")


def read_table(data: bytes) -> Table:
    """Rows of a CSV or XLSX file, told apart by content; raises FileError for anything else."""
    if len(data) > MOST_BYTES:
        raise FileError("too_big", size=len(data) // 1_000_000, most=MOST_BYTES // 1_000_000)
    if not data.strip():
        raise FileError("empty")
    if data.startswith(_ZIP):
        return read_workbook(data)
    if data.startswith(_OLD_OFFICE):
        raise FileError("old_office")
    if data.startswith(_NO_TABLES) or data.lstrip()[:5].lower() in (b"<html", b"<?xml", b"<!doc"):
        raise FileError("kind_unknown")
    if data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"{":
        raise FileError("looks_like_records")
    return read_delimited(data)
