"""Tables of old readings: rows become visits, and what is wrong is told in the table's words."""

from __future__ import annotations

from io import BytesIO

import pytest
from openpyxl import Workbook

from tests.visits.roofs import NOW, PLACE, make_roof
from visits.imports.report import VisitImportReport
from visits.models import Check, Visit
from visits.services.imports import import_visits, read_visits

pytestmark = pytest.mark.django_db

TABLE = """\ufeffOwner;Site;Fan Tag;Date;Technician;Stage;Volts AB (V);Grease duct (mil);Hinge;Notes
Alder Kitchens;Quay Street;EF-1;2025-03-04;Theo;As found;208;8;Sound;
Alder Kitchens;Quay Street;EF-1;2025-03-04;Theo;as left;;;;new pins
Alder Kitchens;Quay Street;EF-2;2025-03-04 00:00:00;Theo;;0.21 kV;;;
Alder Kitchens;Quay Street;EF-2;2025-06-04;Theo;;;;;
"""


def read_table(text: str) -> VisitImportReport:
    """Import a table of readings."""
    return import_visits(file=read_visits(text.encode()), name="old.csv", by=None, now=NOW)


def test_table_when_imported_then_rows_of_one_day_are_one_visit() -> None:
    make_roof()
    read_table(TABLE)
    rows = Check.objects.order_by("began_at", "fan__tag", "stage").values_list(
        "fan__tag", "stage", "volts_ab_v", "grease_duct_high_um", "hinge", "notes"
    )
    assert (Visit.objects.count(), list(rows)) == (
        2,
        [
            ("EF-1", "as_found", 208.0, pytest.approx(203.2), "sound", ""),
            ("EF-1", "as_left", None, None, None, "new pins"),
            ("EF-2", "as_found", 210.0, None, None, ""),
            ("EF-2", "as_found", None, None, None, ""),
        ],
    )


def test_table_when_written_in_the_words_of_the_trade_then_understood() -> None:
    make_roof()
    read_table(
        "Customer,Location,Unit #,Date,Visit type,Vibration curb (in/s),Detector\n"
        "Alder Kitchens,Quay Street,EF-1,2025-03-04,PM,0.1,peak\n"
    )
    found = Check.objects.values_list("visit__kind", "fan__tag", "vibration_detector")
    assert found.get() == ("maintenance", "EF-1", "peak")


def test_table_when_sorted_otherwise_then_nothing_new() -> None:
    make_roof()
    read_table(TABLE)
    head, *rows = TABLE.splitlines()
    assert read_table("\n".join([head, rows[3], *rows[:3]])).changes_nothing


@pytest.mark.parametrize(
    ("heading", "cell", "unit", "detector"),
    [
        ("Vibration curb (in/s peak)", "0.35", "in/s", "peak"),
        ("Vibration curb (mm/s)", "2.1 mm/s rms", "mm/s", "rms"),
        ("Vibration curb (rms)", "2.1", "mm/s", "rms"),
    ],
)
def test_table_when_vibration_names_its_detector_then_kept(
    heading: str, cell: str, unit: str, detector: str
) -> None:
    make_roof()
    read_table(f"Owner;Site;Fan Tag;Date;{heading}\n{row('EF-1', '2025-03-04', cell)}")
    found = Check.objects.get()
    assert (found.vibration_detector, found.typed["vibration_curb_mm_s"]["unit"]) == (
        detector, unit,
    )  # fmt: skip


def test_table_when_cells_are_wrong_then_row_and_heading_are_told() -> None:
    make_roof()
    wrong = TABLE.replace("208;", "208 A;").replace("Sound", "sundo")
    wrong = wrong.replace("EF-2;2025-06", "X;2025-06")
    report = read_table(wrong)
    assert [(c.line, c.column) for c in report.complaints] == [
        (2, "Volts AB (V)"), (2, "Hinge"), (5, "Fan Tag"),
    ]  # fmt: skip


def row(*cells: str) -> str:
    """A line of a table with these headings: owner, site, Fan Tag, Date, and three readings."""
    return ";".join([*list(PLACE.values())[:2], *cells])


MESSY = "\n".join([
    "Walk-throughs of the old office;;;;;;",
    "Owner;Site;Fan Tag;Date;Visit Type;Volts AB (kV);Grease duct (zorks);Hinge",
    row("EF-1", "03/04/2025", "walk", "many", "3", "n/a"),
    row("EF-1", "", "", "900", "", "-"),
    row("EF-9", "05/06/2025", "", "", "", "sundo"),
    row("", "05/06/2025", "", "0.208", "", "sound"),
    ";;;;;;;",
    "Alder Kitchens;Key Street;EF-1;31 June 2025;;;;",
])  # fmt: skip


MESSY_TOLD = [
    "row 2, Grease duct (zorks): the unit zorks does not fit this reading "
    "(seen: Grease duct (zorks)); write one of um, mil, in, mm in the heading",
    "rows 3, 5-6, Date: month and day could be either way round "
    "(seen: for example 03/04/2025); write the dates of this column as in 2026-03-02",
    "row 3, Visit Type: this is not known (seen: walk); "
    "it may be walk through, maintenance, service call, replacement, code inspection, start up",
    "row 3, Volts AB (kV): this is not a reading (seen: many); "
    "write a number, or one with its unit such as 1.5 V",
    "row 4, Date: the cell is blank; fill it in",
    "row 4, Volts AB (kV): this cannot be right (seen: 900); "
    "expected 0 to 700 V; check value and unit",
    "row 5, Hinge: this is not known (seen: sundo); "
    "did you mean sound? it may be sound, loose, broken, none",
    "row 5, Fan Tag: Quay Street has no such fan (seen: EF-9); "
    "did you mean EF-2? it may be EF-1, EF-2",
    "row 6, Fan Tag: the cell is blank; fill it in",
    "row 8, Date: the calendar has no such day (seen: 31 June 2025); write it as in 2026-03-02",
    "row 8, Site: no such site (seen: Key Street); did you mean Quay Street? it may be Quay Street",
]


def test_table_when_messy_then_everything_is_told_once_in_its_own_words() -> None:
    make_roof()
    assert [str(said) for said in read_table(MESSY).complaints] == MESSY_TOLD


def test_table_when_one_date_proves_the_order_then_the_others_are_read_by_it() -> None:
    make_roof()
    head = TABLE.splitlines()[0]
    read_table("\n".join([head, row("EF-1", "3/4/2025"), row("EF-1", "3/14/2025")]))
    assert [str(visit.local_on) for visit in Visit.objects.order_by("local_on")] == [
        "2025-03-04", "2025-03-14",
    ]  # fmt: skip


def test_table_when_a_stored_visit_is_told_otherwise_then_old_and_new_at_each_cell() -> None:
    make_roof()
    read_table(TABLE)
    other = TABLE.replace("208;8", "209;9").replace("new pins", "pins").replace("Sound", "loose")
    added = row("EF-2", "2025-03-04", "Theo", "as left", "", "", "", "")
    remedy = "put the cell back, or correct the visit on record by a record that supersedes it"
    assert list(map(str, read_table(f"{other}{added}\n").complaints)) == [
        f"row 2, Volts AB (V): on record this is 208 V (seen: 209); {remedy}",
        f"row 2, Grease duct (mil): on record this is 8 mil (seen: 9); {remedy}",
        f"row 2, Hinge: on record this is sound (seen: loose); {remedy}",
        f"row 3, Notes: on record this is new pins (seen: pins); {remedy}",
        "row 6, Fan Tag: this visit is on record without this row (seen: EF-2); "
        "take the row out, or correct the visit on record by a record that supersedes it",
    ]


def test_table_when_the_same_is_written_otherwise_then_nothing_new() -> None:
    make_roof()
    read_table(TABLE)
    other = TABLE.replace("208;", "208.0 V;").replace("As found", "").replace("0.21 kV", "210 V")
    assert read_table(other).changes_nothing


def test_table_when_it_adds_a_visit_to_those_on_record_then_that_one_is_stored() -> None:
    make_roof()
    read_table(TABLE)
    added = row("EF-2", "2025-09-04", "Theo", "", "0.2 kV", "", "", "")
    report = read_table(f"{TABLE.replace('208;', '208.0;')}{added}\n")
    assert (dict(report.added), report.repeated, report.complaints) == ({"visit": 1}, 2, ())


def test_workbook_when_other_sheets_are_filled_then_said_in_a_note() -> None:
    book = Workbook()
    book.create_sheet("More").append(["x"])
    book.active.append(["Owner", "Site", "Fan", "Date"])
    stream = BytesIO()
    book.save(stream)
    report = import_visits(file=read_visits(stream.getvalue()), name="old.xlsx", by=None, now=NOW)
    assert ["not read: More" in note for note in report.notes] == [True]


def test_table_when_a_date_is_no_date_then_seen_as_written() -> None:
    make_roof()
    head = "owner,site,fan,visit date,hinge\n"
    report = read_table(f"{head}{','.join(list(PLACE.values())[:2])},EF-1,June 2,sound\n")
    assert [said.complaint.seen for said in report.complaints] == ["June 2"]


def test_table_when_a_heading_is_unknown_then_the_nearest_is_named() -> None:
    make_roof()
    (told,) = read_table(TABLE.replace("Hinge", "Hindge")).complaints
    assert "did you mean hinge?" in str(told)


def test_table_when_a_needed_column_is_missing_then_told() -> None:
    make_roof()
    (told,) = read_table(TABLE.replace("Fan Tag", "")).complaints
    assert "no column fan" in str(told)


def test_workbook_when_a_cell_is_a_formula_or_merged_then_told() -> None:
    make_roof()
    book = Workbook()
    book.active.append(["Owner", "Site", "Fan", "Date", "Volts AB"])
    for tag in ("EF-1", "EF-2"):
        book.active.append([PLACE["owner"], PLACE["site"], tag, "2025-03-04", 208])
    book.active["E2"] = "=2*104"
    book.active.merge_cells("B2:B3")
    stream = BytesIO()
    book.save(stream)
    report = import_visits(file=read_visits(stream.getvalue()), name="old.xlsx", by=None, now=NOW)
    assert [(c.line, c.column) for c in report.complaints] == [
        (2, "Volts AB"), (3, "Site"),
    ]  # fmt: skip


def test_table_when_a_cell_has_a_comma_or_a_fraction_then_in_its_headings_unit() -> None:
    make_roof()
    head = "Owner;Site;Fan;Date;Belt deflection (in);Amps A (mA)\n"
    report = read_table(f"{head}{row('EF-1', '2025-03-04', '1/2', '2400,5')}")
    check = Check.objects.get()
    assert (report.complaints, check.belt_deflection_mm, check.amps_a_a) == (
        (), pytest.approx(12.7), pytest.approx(2.4005),
    )  # fmt: skip
