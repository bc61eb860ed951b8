"""Small files that would become large or slow when read: bounded, and told."""

from __future__ import annotations

from collections.abc import Iterable
from time import process_time
from tracemalloc import get_traced_memory, start, stop

import pytest

from fleet.imports import archive
from fleet.imports.complaints import FileError
from fleet.imports.reading import read_table
from fleet.imports.workbook import MOST_LOOKED_AT
from fleet.services.imports import read_fleet
from tests.fleet.sheets import NOW, PLAIN, csv_file, workbook
from tests.fleet.test_import_files import rewritten, sheet_xml, workbook_with

MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKED = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def refusal(data: bytes) -> tuple[str, int]:
    """Why a file is not read, and how much would have been."""
    with pytest.raises(FileError) as error:
        read_table(data)
    return error.value.code, error.value.told["most"]


def with_list(sheets: bytes, data: bytes | None = None) -> bytes:
    """A workbook that lists its sheets so."""
    head = b'<workbook xmlns="' + MAIN + b'" xmlns:r="' + LINKED + b'"><sheets>'
    listed = head + sheets + b"</sheets></workbook>"
    return rewritten(data or workbook(["x"]), "xl/workbook.xml", listed)


def sheets(names: Iterable[str]) -> bytes:
    """Entries of sheets that all name the one part there is."""
    return b"".join(
        f'<sheet name="{name}" sheetId="{number}" r:id="rId1"/>'.encode()
        for number, name in enumerate(names, start=1)
    )


def test_sheets_when_all_are_one_part_then_it_is_read_once() -> None:
    rows = b"".join(
        b'<row r="%d"><c r="A%d"><v>7</v></c></row>' % (row, row) for row in range(1, 20_001)
    )
    began = process_time()
    table = read_table(with_list(sheets(f"S{n}" for n in range(400)), workbook_with(rows)))
    spent = process_time() - began
    (note,) = table.complaints.notes
    assert (len(table.rows), note.code, "and" in note.args["others"]) == (
        20_000, "other_sheets", False,
    )  # fmt: skip
    assert note.args["others"].endswith(f"{399 - MOST_LOOKED_AT} more, not looked at")
    assert spent < 10  # reading the part anew for each took minutes


def test_sheets_when_blank_ones_share_a_part_then_it_is_looked_at_once() -> None:
    table = read_table(with_list(sheets("AB"), workbook_with(b'<row r="1"/>')))
    assert (table.rows, table.complaints.notes) == ([], [])


@pytest.mark.parametrize(
    ("inside", "most"),
    [
        (sheets(f"S{number}" for number in range(600)), archive.MOST_MEMBERS),
        (b"<a/>" * 200_000, archive.MOST_ELEMENTS),
        (b"<a>" * 200_000 + b"</a>" * 200_000, archive.MOST_ELEMENTS),
    ],
)
def test_list_of_sheets_when_endless_then_refused(inside: bytes, most: int) -> None:
    assert refusal(with_list(inside)) == ("too_many_parts", most)


def test_links_when_endless_then_refused_before_they_fill_the_memory() -> None:
    links = b"<Relationships>" + b'<Relationship Id="a"/>' * 500_000 + b"</Relationships>"
    data = rewritten(workbook(["x"]), "xl/_rels/workbook.xml.rels", links)
    start()
    told = refusal(data)
    _, peak = get_traced_memory()
    stop()
    assert told == ("too_many_parts", archive.MOST_ELEMENTS)
    assert peak < 5 * len(links)


def test_formulas_without_results_when_there_are_too_many_then_one_complaint() -> None:
    row = b"".join(b'<c r="A1"><f>B1</f></c>' for _ in range(archive.MOST_HOLLOW + 1))
    with pytest.raises(FileError, match="too_many_hollow"):
        list(archive.hollow_cells(sheet_xml(b'<row r="1">' + row + b"</row>")))


def test_shared_texts_when_there_are_millions_then_refused() -> None:
    shared = b"<sst>" + b"<si/>" * (2 * archive.MOST_STRINGS + 1) + b"</sst>"
    assert refusal(rewritten(workbook(["x"]), "xl/sharedStrings.xml", shared))[0] == "bomb"


def test_cells_when_all_are_wrong_then_counted_and_their_memory_is_bounded() -> None:
    kinds = ("Power (hp)", "Visits per year", "Installed on", "Latitude", "Motor type")
    rows = [PLAIN | {"Tag": f"EF-{row}"} | dict.fromkeys(kinds, f"§{row}") for row in range(5_000)]
    data = csv_file(*rows)
    start()
    file = read_fleet(data=data, now=NOW)
    _, peak = get_traced_memory()
    stop()
    assert file.complaints.count == len(kinds) * len(rows)
    assert peak < 60_000_000  # tracebacks kept with their rows took several times as much
