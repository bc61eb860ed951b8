"""Files as they come: encodings, separators, workbooks, and files meant to harm."""

import io
import zipfile
from contextlib import suppress
from datetime import date
from time import perf_counter

import pytest

from fleet.imports import table as limits
from fleet.imports.archive import hollow_cells
from fleet.imports.complaints import FileError
from fleet.imports.reading import read_table
from tests.fleet.sheets import workbook

WORDS = [["Owner", "Site", "Tag"], ["Café Ñandú", "Mill Lane", "EF-1"]]
TEXT = "\r\n".join(",".join(row) for row in WORDS)


def cells(data: bytes) -> list[list[str]]:
    return [list(row) for _, row in read_table(data).rows]


def refusal(data: bytes) -> str:
    with pytest.raises(FileError) as error:
        read_table(data)
    return error.value.code


def traps(data: bytes) -> list[tuple[str, str]]:
    return [(trap.code, trap.seen) for trap in read_table(data).traps]


def rewritten(data: bytes, part: str, text: bytes) -> bytes:
    """The archive with one part's text replaced or added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            if name != part:
                new.writestr(name, old.read(name))
        new.writestr(part, text)
    return out.getvalue()


def sheet_xml(rows: bytes) -> bytes:
    space = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return b'<worksheet xmlns="' + space + b'"><sheetData>' + rows + b"</sheetData></worksheet>"


def workbook_with(rows: bytes) -> bytes:
    return rewritten(workbook(["x"]), "xl/worksheets/sheet1.xml", sheet_xml(rows))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32", "cp1252"])
def test_csv_in_an_encoding_then_read(encoding: str) -> None:
    assert cells(TEXT.encode(encoding)) == WORDS


def test_csv_in_windows_1252_then_the_odd_word_is_shown() -> None:
    notes = read_table(TEXT.encode("cp1252")).complaints.notes
    assert [(note.code, note.row, note.seen) for note in notes] == [("encoding_guessed", 2, "Café")]


def test_csv_of_two_encodings_then_each_line_is_read_in_its_own() -> None:
    two = TEXT.encode() + b"\n" + TEXT.encode("cp1252")
    assert cells(two) == [*WORDS, *WORDS]
    notes = read_table(two).complaints.notes
    assert [(note.row, note.seen) for note in notes] == [(4, "Café")]


def test_csv_with_half_a_character_then_told_in_which_row() -> None:
    # RFC 3629 section 3: surrogates have no place in UTF-8
    with pytest.raises(FileError) as error:
        read_table(TEXT.encode().replace(b"Mill", b"M\xed\xa0\x80ill"))
    assert (error.value.code, error.value.told) == ("encoding_wrong", {"byte": "ed", "row": 2})


def test_csv_with_a_zero_byte_then_told_in_which_row() -> None:
    with pytest.raises(FileError) as error:
        read_table(TEXT.replace("Mill", "M\0ill").encode())
    assert (error.value.code, error.value.told) == ("encoding_unknown", {"row": 2})


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_csv_with_a_separator_then_found_out(delimiter: str) -> None:
    assert cells(TEXT.replace(",", delimiter).encode()) == WORDS


def test_csv_that_names_its_separator_then_rows_keep_their_numbers() -> None:
    rows = read_table(b"sep=;\n" + TEXT.replace(",", ";").encode()).rows
    assert rows == [(2, WORDS[0]), (3, WORDS[1])]


@pytest.mark.parametrize("said", [b"sep=\n", b"SEP=\r\n", b"sep=\r", b'sep="\n'])
def test_csv_that_names_no_usable_separator_then_found_out(said: bytes) -> None:
    rows = read_table(said + TEXT.replace(",", ";").encode()).rows
    assert rows == [(2, WORDS[0]), (3, WORDS[1])]


def test_csv_of_the_separator_line_alone_then_it_has_no_rows() -> None:
    assert read_table(b"sep=").rows == []


def test_csv_with_quoted_commas_and_lines_then_as_rfc_4180_says() -> None:
    # RFC 4180 section 2, rules 5 to 7: quotes around separators and line breaks, doubled quotes
    data = b'a,b\r\n"x,y","two\r\nlines"\r\n"say ""hi""",z\r\n'
    assert cells(data) == [["a", "b"], ["x,y", "two\r\nlines"], ['say "hi"', "z"]]


def test_csv_with_empty_rows_then_the_others_keep_their_numbers() -> None:
    assert [number for number, _ in read_table(b"a,b\n,,\n\nc,d\n").rows] == [1, 4]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b" \r\n ", "empty"),
        (b"Owner,Tag\n\x81\xff\x8d,x", "encoding_wrong"),
        (b"\xef\xbb\xbfOwner\xff", "encoding_broken"),
        (TEXT.encode("utf-16-le"), "encoding_unknown"),
        (b'Owner,Tag\n"never closed,x\n', "csv_broken"),
        (b"%PDF-1.7 ...", "kind_unknown"),
        (b"<html><table></table></html>", "kind_unknown"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"x" * 512, "old_office"),
        (b"PK\x03\x04 but no archive", "workbook_broken"),
        (b"a" * (limits.LONGEST_CELL + 1), "cell_too_long"),
        (b"a" * 2_000_000, "cell_too_long"),
        (b"," * (limits.MOST_COLUMNS + 1), "too_many_columns"),
        (b"a\n" * (limits.MOST_ROWS + 1), "too_many_rows"),
        (b"a" * (limits.MOST_BYTES + 1), "too_big"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_file_that_cannot_be_read_then_refused_with_the_reason(data: bytes, code: str) -> None:
    assert refusal(data) == code


def test_workbook_then_cells_as_a_person_would_type_them() -> None:
    data = workbook(["Tag", "On", "hp", "No", "Yes"], ["EF-1", date(2026, 3, 2), 1.5, 12, True])
    assert cells(data)[1] == ["EF-1", "2026-03-02", "1.5", "12", "yes"]


def test_workbook_with_formulas_never_computed_then_told_where() -> None:
    data = workbook(["Owner", "Site"], ["=UPPER(B2)", "Mill"])
    assert traps(data) == [("formula_without_value", "=UPPER(B2)")]


def test_workbook_with_computed_formula_then_its_value_is_read() -> None:
    row = b'<row r="1"><c r="A1"><f>1+1</f><v>2</v></c></row>'
    assert (cells(workbook_with(row)), traps(workbook_with(row))) == ([["2"]], [])


def test_workbook_with_an_error_cell_then_told_where() -> None:
    assert traps(workbook(["Owner", "#N/A"], ["a", "b"])) == [("error_cell", "#N/A")]


def test_workbook_with_merged_cells_then_told_where() -> None:
    data = workbook(["a", "b"], ["c", "d"], ["e", "f"], merge="A2:A3")
    assert traps(data) == [("merged", "A2:A3")]


def test_workbook_that_unpacks_to_far_too_much_then_refused() -> None:
    assert refusal(rewritten(workbook(["x"]), "xl/media/big", b"\0" * 210_000_000)) == "bomb"


def test_workbook_of_a_thousand_parts_then_refused() -> None:
    out = io.BytesIO(workbook(["x"]))
    with zipfile.ZipFile(out, "a") as archive:
        for number in range(1000):
            archive.writestr(f"part{number}", b"")
    assert refusal(out.getvalue()) == "too_many_parts"


@pytest.mark.parametrize(
    ("place", "code"), [("XFD1", "too_many_columns"), ("A1048576", "too_many_rows")]
)
def test_workbook_with_one_far_cell_then_refused_unread(place: str, code: str) -> None:
    cell = f'<row r="1"><c r="{place}"><v>1</v></c></row>'.encode()
    assert refusal(workbook_with(b'<row r="1"><c r="A1"><v>1</v></c></row>' + cell)) == code


def test_workbook_where_many_cells_share_one_long_text_then_refused() -> None:
    shared = b"<sst><si><t>" + b"x" * 30_000 + b"</t></si></sst>"
    row = b'<row r="1">' + b'<c r="A1" t="s"><v>0</v></c>' * 20_000 + b"</row>"
    assert refusal(rewritten(workbook_with(row), "xl/sharedStrings.xml", shared)) == "bomb"


def test_workbook_whose_rows_do_not_say_where_they_stand_then_counted() -> None:
    assert refusal(workbook_with(b"<row><c><v>1</v></c></row>" * 60_000)) == "too_many_rows"


def test_workbook_whose_cells_do_not_say_where_they_stand_then_counted() -> None:
    row = b'<row r="1">' + b"<c><v>1</v></c>" * 300 + b"</row>"
    assert refusal(workbook_with(row)) == "too_many_columns"


def test_workbook_of_texts_never_closed_then_answered_at_once() -> None:
    shared = b"<sst>" + b"<si>" * 300_000
    began = perf_counter()
    with suppress(FileError):
        read_table(rewritten(workbook(["x"]), "xl/sharedStrings.xml", shared))
    assert perf_counter() - began < 10  # a search that starts anew at each takes minutes


def test_workbook_of_cells_never_closed_then_answered_at_once() -> None:
    began = perf_counter()
    list(hollow_cells(b'<c r="A1"><f>1</f></c><!--' + b"<c ><c " * 100_000 + b"-->"))
    assert perf_counter() - began < 10


def test_workbook_that_declares_entities_then_refused() -> None:
    bomb = b'<!DOCTYPE a [<!ENTITY b "bbbb">]>' + sheet_xml(b"")
    data = rewritten(workbook(["x"]), "xl/worksheets/sheet1.xml", bomb)
    assert refusal(data) == "declares_entities"


def test_other_office_archive_then_refused() -> None:
    assert refusal(rewritten(workbook(["x"]), "content.xml", b"<office/>")) == "kind_unknown"


def test_workbook_cut_short_then_refused() -> None:
    assert refusal(workbook(["x"])[:-200]) == "workbook_broken"
