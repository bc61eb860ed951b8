"""What lies inside an XLSX archive, looked at before it is read: bombs, widths, hollow cells."""

from __future__ import annotations

import io
import posixpath
import re
import struct
import zipfile
import zlib
from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, islice, pairwise
from posixpath import normpath
from xml.etree import ElementTree
from xml.sax.saxutils import unescape

from fleet.imports.complaints import FileError
from fleet.imports.table import MOST_COLUMNS, MOST_ROWS, Trap, column_letters, column_number

MOST_UNPACKED = 200_000_000
MOST_MEMBERS = 500
MOST_ELEMENTS = 100_000
"""Of the parts that list sheets and links; a workbook of many names has some thousands."""
MOST_ATTRIBUTES = 12_000_000
MOST_STRINGS = 3_000_000
MOST_COMMENTS = 100_000
MOST_HOLLOW = 100_000
MOST_TEXT = 150_000_000
"""Characters of all cells together: many cells may share one long text."""
BROKEN = (
    zipfile.BadZipFile, zlib.error, struct.error, ElementTree.ParseError, KeyError, ValueError,
    NotImplementedError, RuntimeError, OSError, EOFError,
)  # fmt: skip
"""What the standard library raises over damaged archives, found by damaging some at random."""
_OTHER_KINDS = ("content.xml", "xl/workbook.bin")
_COLUMN = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]+)")
_ROW = re.compile(rb"\sr\s*=\s*[\"'][A-Za-z]*(\d+)")
# Every pattern here is linear on any bytes: [^<>] keeps it within one tag.
_CELL = re.compile(rb"<(?:\w+:)?c(\s[^<>]*?)?(?:/>|>(.*?)</(?:\w+:)?c>)", re.DOTALL)
_CELL_END = re.compile(rb"</(?:\w+:)?c>")
_CELL_START = re.compile(rb"<(?:\w+:)?c[\s/>]")
_ROW_START = re.compile(rb"<(?:\w+:)?row[\s/>]")
_UNPLACED = re.compile(rb"<(?:\w+:)?(?:row|c)(?=[\s/>])(?![^<>]*\sr\s*=)")
_PLACE = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]+)(\d+)[\"']")
_IS_ERROR = re.compile(rb"\st\s*=\s*[\"']e[\"']")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_FILLED = re.compile(rb"<(?:\w+:)?[vt](?:\s[^<>]*)?>[^<]")
_VALUE = re.compile(rb"<(?:\w+:)?(?:v|is)(?:\s[^>]*)?>[^<]*[^<\s]")
_TEXT_OF = {
    tag: re.compile(rb"<(?:\w+:)?" + tag.encode() + rb"(?:\s[^<>]*)?>([^<]{1,200})")
    for tag in ("f", "v")
}
_SHARED = re.compile(rb"<(?:\w+:)?c(\s[^<>]*)>\s*<(?:\w+:)?v>(\d{1,9})")
_IS_SHARED = re.compile(rb"\st\s*=\s*[\"']s[\"']")
_SHARED_START = re.compile(rb"<(?:\w+:)?si[\s/>]")
_COMMENT = re.compile(
    rb"<(?:\w+:)?(?:comment|threadedComment)\s[^<>]*?\bref=[\"']([A-Z]{1,3})(\d{1,7})[\"']"
)
_REL_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet's own text, and the cells that carry a comment, as ``B3``."""

    part: str = ""
    xml: bytes = b""
    commented: tuple[str, ...] = ()

    @property
    def is_filled(self) -> bool:
        """Whether any cell holds something."""
        return bool(_FILLED.search(self.xml))


def look_inside(data: bytes) -> dict[str, Sheet]:
    """Each sheet by its name; sheets of one part are one.

    Raises FileError for what is no XLSX, unpacks to too much, declares entities, or is laid out
    far too wide or long (a reader would make a rectangle of it).
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = set(archive.namelist())
            if names.intersection(_OTHER_KINDS) or "xl/workbook.xml" not in names:
                raise FileError("kind_unknown")
            members = dict(_unpacked(archive))
            parts = {name: part for name, part in _parts(members) if part in members}
            inside = {
                part: Sheet(part, members[part], tuple(_commented(members, part)))
                for part in set(parts.values())
            }
            sheets = {name: inside[part] for name, part in parts.items()}
    except BROKEN as error:
        raise FileError("workbook_broken", said=str(error)) from None
    laid_out = [member for member in members.values() if b"sheetData" in member]
    for sheet in laid_out:
        _refuse_wide(sheet)
    _refuse_much_text(laid_out, members)
    return sheets


def hollow_cells(sheet: bytes) -> Iterator[Trap]:
    """Formulas without a stored result, and error cells: both come out empty when read.

    Raises FileError for too many: then nobody wants a list of them.
    """
    if not any(mark in sheet for mark in (b"<f", b":f", b't="e"', b"t='e'")):
        return
    last = max((end.end() for end in _CELL_END.finditer(sheet)), default=0)
    # past the last closing tag a cell that stays open would be looked for to the end, each time
    hollow = 0
    for cell in _CELL.finditer(sheet, 0, last):
        attributes, inside = cell.groups(b"")
        place = _PLACE.search(attributes)
        if not place:
            continue
        if _IS_ERROR.search(attributes):
            hollow += 1
            yield _trap("error_cell", place, _TEXT_OF["v"].search(inside))
        elif inside and _FORMULA.search(inside) and not _VALUE.search(inside):
            hollow += 1
            yield _trap("formula_without_value", place, _TEXT_OF["f"].search(inside), "=")
        if hollow > MOST_HOLLOW:
            raise FileError("too_many_hollow", most=MOST_HOLLOW)


def _trap(
    code: str, place: re.Match[bytes], shown: re.Match[bytes] | None, before: str = ""
) -> Trap:
    """A trap of one cell, shown by its text, or by its place where it has none of its own."""
    column, row = column_number(place[1].decode()), int(place[2])
    text = unescape(shown[1].decode("utf-8", "replace")) if shown else ""
    seen = before + text if text else f"{column_letters(column)}{row}"
    return Trap(code, row, row, column, column, seen)


def _unpacked(archive: zipfile.ZipFile) -> Iterator[tuple[str, bytes]]:
    """Each part of the archive; a part longer than it claims to be fails its checksum."""
    infos = archive.infolist()
    if len(infos) > MOST_MEMBERS:
        raise FileError("too_many_parts", most=MOST_MEMBERS)
    if sum(info.file_size for info in infos) > MOST_UNPACKED:
        raise FileError("bomb", most=MOST_UNPACKED // 1_000_000)
    for info in infos:
        text = archive.read(info)
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
            raise FileError("declares_entities", part=info.filename)
        yield info.filename, text


class _Elements:
    """Attributes of the elements with this name, gathered without a tree of all the others."""

    def __init__(self, name: str) -> None:
        self.name, self.left = name, MOST_ELEMENTS
        self.found: list[dict[str, str]] = []

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.left -= 1
        if self.left < 0:
            raise FileError("too_many_parts", most=MOST_ELEMENTS)
        if tag.endswith(self.name):
            self.found.append(attributes)


def _elements(text: bytes, name: str) -> list[dict[str, str]]:
    # no entity can hide in these texts: a DOCTYPE was refused above
    elements = _Elements(name)
    parser = ElementTree.XMLParser(target=elements)  # noqa: S314
    for start in range(0, len(text), 65_536):
        parser.feed(text[start : start + 65_536])
    parser.close()
    return elements.found


def _parts(members: dict[str, bytes]) -> Iterator[tuple[str, str]]:
    """Sheet names with the archive part that holds each."""
    links = _elements(members["xl/_rels/workbook.xml.rels"], "}Relationship")
    targets = {link.get("Id"): link.get("Target", "") for link in links}
    listed = _elements(members["xl/workbook.xml"], "}sheet")
    if len(listed) > MOST_MEMBERS:
        raise FileError("too_many_parts", most=MOST_MEMBERS)
    for sheet in listed:
        target = targets.get(sheet.get(_REL_ID), "")
        if target:
            part = target.lstrip("/") if target.startswith("/") else normpath(f"xl/{target}")
            yield sheet.get("name", ""), part


def _commented(members: dict[str, bytes], part: str) -> Iterator[str]:
    """Cells of a sheet with a note or a thread of comments, each once, in order of rows."""
    folder, name = posixpath.split(part)
    links = members.get(f"{folder}/_rels/{name}.rels")
    if links is None:
        return
    cells: set[tuple[int, int]] = set()
    for link in _elements(links, "}Relationship"):
        if link.get("Type", "").endswith(("/comments", "/threadedComment")):
            target = normpath(posixpath.join("/", folder, link.get("Target", ""))).lstrip("/")
            places = islice(_COMMENT.finditer(members.get(target, b"")), MOST_COMMENTS)
            cells.update((int(place[2]), column_number(place[1].decode())) for place in places)
    for row, column in sorted(cells):
        yield f"{column_letters(column)}{row}"


def _refuse_wide(sheet: bytes) -> None:
    if sheet.count(b"=") > MOST_ATTRIBUTES:
        raise FileError("bomb", most=MOST_UNPACKED // 1_000_000)
    if any(len(row) > 7 or int(row) > MOST_ROWS for row in set(_ROW.findall(sheet))):
        raise FileError("too_many_rows", most=MOST_ROWS)
    columns = {letters.decode() for letters in set(_COLUMN.findall(sheet))}
    if max(map(column_number, columns), default=0) >= MOST_COLUMNS:
        raise FileError("too_many_columns", row=1, most=MOST_COLUMNS)
    if _UNPLACED.search(sheet):
        _refuse_unplaced(sheet)


def _refuse_unplaced(sheet: bytes) -> None:
    """Rows and cells that do not say where they stand follow one another, so they are counted."""
    rows = _ROW_START.split(sheet)[1:]
    if len(rows) > MOST_ROWS:
        raise FileError("too_many_rows", most=MOST_ROWS)
    for number, row in enumerate(rows, start=1):
        if row.count(b"c") > MOST_COLUMNS and len(_CELL_START.findall(row)) > MOST_COLUMNS:
            raise FileError("too_many_columns", row=number, most=MOST_COLUMNS)


def _refuse_much_text(sheets: list[bytes], members: dict[str, bytes]) -> None:
    shared = [text for text in members.values() if b"<sst" in text or b":sst" in text]
    if sum(text.count(b"<si") + text.count(b":si") for text in shared) > 2 * MOST_STRINGS:
        raise FileError("bomb", most=MOST_UNPACKED // 1_000_000)
    lengths = array("L", (length for text in shared for length in _lengths(text)))
    if max(lengths, default=0) * sum(sheet.count(b"=") for sheet in sheets) <= MOST_TEXT:
        return
    for sheet in sheets:
        numbers = (int(c[2]) for c in _SHARED.finditer(sheet) if _IS_SHARED.search(c[1]))
        if sum(lengths[at] for at in numbers if at < len(lengths)) > MOST_TEXT:
            raise FileError("bomb", most=MOST_TEXT // 1_000_000)


def _lengths(shared: bytes) -> Iterator[int]:
    """Bytes from the start of each shared text to that of the next."""
    starts = (start.start() for start in _SHARED_START.finditer(shared))
    for one, following in pairwise(chain(starts, [len(shared)])):
        yield following - one
