"""CSV as it comes out of spreadsheets: several encodings, ``,`` ``;`` or tab, quoted line ends."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator

from fleet.imports.complaints import Complaints, FileError
from fleet.imports.table import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Row, Table

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_DELIMITERS = ",;\t|"
_SAYS_DELIMITER = re.compile(r"sep=([^\r\n\"]?)[^\r\n]*(?:\r\n?|\n|$)", re.IGNORECASE)
_HALF_CHARACTER = re.compile(rb"\xed[\xa0-\xbf][\x80-\xbf]")
csv.field_size_limit(max(csv.field_size_limit(), 1_000_000))


def read_delimited(data: bytes) -> Table:
    """Rows of a CSV file; raises FileError for bytes that are no text, or far too much of it."""
    complaints = Complaints()
    text = _decode(data, complaints)
    if said := _SAYS_DELIMITER.match(text):
        rest = text[said.end() :]
        # a line of its own, so that rows keep their numbers
        return Table(list(_rows("\n" + rest, said[1] or _delimiter(rest))), complaints)
    return Table(list(_rows(text, _delimiter(text))), complaints)


def _decode(data: bytes, complaints: Complaints) -> str:
    encoding = next((name for bom, name in _BOMS if data.startswith(bom)), "")
    try:
        text = data.decode(encoding or "utf-8")
    except UnicodeDecodeError as error:
        if encoding:
            raise FileError("encoding_broken", encoding=encoding, at=error.start) from None
        text = _decode_western(data, complaints)
    if "\0" in text:
        raise FileError("encoding_unknown", row=text.count("\n", 0, text.index("\0")) + 1)
    return text


def _decode_western(data: bytes, complaints: Complaints) -> str:
    """Lines that are no UTF-8 are Windows-1252, what old spreadsheets write.

    Each line by itself: files are put together from several.  The first odd word is shown to be
    looked at.
    """
    lines = data.split(b"\n")
    texts = []
    told = False
    for row, line in enumerate(lines, start=1):
        try:
            texts.append(line.decode())
        except UnicodeDecodeError as error:
            texts.append(_as_western(line, row, error.start))
            if not told:
                complaints.note("encoding_guessed", row, seen=_word_at(texts[-1], error.start))
            told = True
    return "\n".join(texts)


def _as_western(line: bytes, row: int, at: int) -> str:
    if _HALF_CHARACTER.match(line, at):
        raise FileError("encoding_wrong", byte=line[at : at + 1].hex(), row=row)
    try:
        return line.decode("cp1252")
    except UnicodeDecodeError as error:
        byte = line[error.start : error.start + 1].hex()
        raise FileError("encoding_wrong", byte=byte, row=row) from None


def _word_at(text: str, at: int) -> str:
    start, end = at, at
    while start > 0 and text[start - 1].isalnum():
        start -= 1
    while end < len(text) and text[end].isalnum():
        end += 1
    return text[start : max(end, at + 1)]


def _delimiter(text: str) -> str:
    """The sign that parts the fullest of the first lines, quoted text left out."""
    lines = text[:20_000].splitlines()[:10]
    bare = ["".join(line.split('"')[::2]) for line in lines]
    return max(_DELIMITERS, key=lambda sign: max((line.count(sign) for line in bare), default=0))


def _rows(text: str, delimiter: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for number, cells in enumerate(reader, start=1):
            _refuse_size(number, cells)
            if any(cell and not cell.isspace() for cell in cells):
                yield number, cells
    except csv.Error as error:
        if "field limit" in str(error):
            raise FileError("cell_too_long", row=reader.line_num, longest=LONGEST_CELL) from None
        raise FileError("csv_broken", line=reader.line_num, said=str(error)) from None


def _refuse_size(number: int, cells: list[str]) -> None:
    if number > MOST_ROWS:
        raise FileError("too_many_rows", most=MOST_ROWS)
    if len(cells) > MOST_COLUMNS:
        raise FileError("too_many_columns", row=number, most=MOST_COLUMNS)
    if max(map(len, cells), default=0) > LONGEST_CELL:
        raise FileError("cell_too_long", row=number, longest=LONGEST_CELL)
