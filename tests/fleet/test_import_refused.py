"""Fleet files that are refused, or taken with a doubt: told whole, and nothing stored."""

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.comments import Comment

from fleet.models import Owner, Site
from fleet.signals import fans_touched
from fleet.wording import complaint_sentence, note_sentences
from tests.fleet.sheets import FULL, PLAIN, bring, codes, csv_file, row_counts, workbook

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def test_other_serial_installed_earlier_then_complaint() -> None:
    bring(csv_file(FULL))
    report = bring(csv_file(FULL | {"Serial": "0", "Installed on": "2010-01-01"}))
    assert codes(report) == [(2, "Installed on", "machine_gone")]


def test_site_without_zone_then_takes_the_owners_only_one() -> None:
    report = bring(csv_file(PLAIN, PLAIN | {"Site": "Quay", "Time zone": ""}))
    assert (Site.objects.get(name="Quay").time_zone, [note.code for note in report.notes][:1]) == (
        "America/Chicago", ["zone_assumed"],
    )  # fmt: skip


def test_site_without_zone_and_owner_with_two_then_complaint() -> None:
    east = PLAIN | {"Site": "East", "Time zone": "Eastern"}
    report = bring(csv_file(PLAIN, east, PLAIN | {"Site": "Quay", "Time zone": ""}))
    assert codes(report) == [(4, "Time zone", "zone_missing")]


@pytest.mark.parametrize(
    ("latitude", "longitude", "code"),
    [("41.9", "-87.6", ""), ("-87.6", "41.9", "place_swapped"), ("41.9", "87.6", "place_sign"),
     ("48.9", "2.4", "place_outside")],
)  # fmt: skip
def test_coordinates_that_look_wrong_then_only_a_note(
    latitude: str, longitude: str, code: str
) -> None:
    # Chicago and Paris, from memory
    report = bring(csv_file(FULL | {"Latitude": latitude, "Longitude": longitude}))
    assert ([note.code for note in report.notes], report.refused) == ([code] if code else [], False)


Change = Callable[[dict[str, str]], dict[str, str]]
CHANGES: list[tuple[str, Change, list[tuple[int, str, str]]]] = [
    ("same tag", lambda row: row, [(3, "Tag", "tag_twice")]),
    ("same tag, other case", lambda row: row | {"Tag": "ef-1"}, [(3, "Tag", "tag_twice")]),
    ("owner's email", lambda row: row | {"Tag": "2", "Owner email": "x@y.example"},
     [(3, "Owner email", "conflict")]),
    ("site's zone", lambda row: row | {"Tag": "2", "Time zone": "Pacific"},
     [(3, "Time zone", "conflict")]),
    ("system's hours", lambda row: row | {"Tag": "2", "Hours": "always"},
     [(3, "Hours", "conflict")]),
    ("no tag", lambda row: row | {"Tag": " "}, [(3, "Tag", "blank")]),
    ("installed tomorrow", lambda row: row | {"Tag": "2", "Installed on": "2026-03-05"},
     [(3, "Installed on", "day_in_future")]),
    ("amps swapped", lambda row: row | {"Tag": "2", "Full-load amps": "1.6/3.2"},
     [(3, "Full-load amps", "told")]),
    ("amps do not pair", lambda row: row | {"Tag": "2", "Full-load amps": "3.2/1.6/1.2/1"},
     [(3, "Full-load amps", "told")]),
]  # fmt: skip


@pytest.mark.parametrize(("said", "change", "expected"), CHANGES, ids=[c[0] for c in CHANGES])
def test_second_row_that_contradicts_then_complaint(
    said: str, change: Change, expected: list[Any]
) -> None:
    assert codes(bring(csv_file(FULL, change(FULL)))) == expected


@pytest.mark.parametrize(
    ("cells", "column", "code"),
    [
        ({"Latitude": "41"}, "Latitude", "coordinate_alone"),
        ({"Drive": "direct", "Belt": "A45"}, "Belt", "belt_on_direct"),
        ({"Connected volts": "575"}, "Connected volts", "not_on_plate"),
        ({"Overload present": "no", "Overload setting (A)": "3"}, "Overload setting (A)",
         "overload_both_ways"),
        ({"Warranty until": "2020-01-01"}, "Warranty until", "day_before"),
        ({"Agreement end": "2024-01-01"}, "Agreement end", "day_before"),
    ],
)  # fmt: skip
def test_row_that_contradicts_itself_then_complaint(
    cells: dict[str, str], column: str, code: str
) -> None:
    assert codes(bring(csv_file(FULL | cells))) == [(2, column, code)]


def test_connected_rating_of_a_plate_partly_unreadable_then_accepted() -> None:
    cells = {"Volts": "?/460", "Full-load amps": "?/1.6", "Connected volts": "230"}
    assert not bring(csv_file(FULL | cells)).refused


def test_row_longer_than_its_headings_then_complaint() -> None:
    data = csv_file(PLAIN).replace(b"Mill Lane", b"Mill, Lane")
    assert (2, "", "cell_outside") in codes(bring(data))


def spoilt(**cells: str) -> bytes:
    """A good fan, then one with these cells."""
    return csv_file(
        FULL, FULL | {"Tag": "EF-2"} | {k.replace("_", " "): v for k, v in cells.items()}
    )


HOSTILE = [
    (spoilt(Hertz="NaN"), "row 3, Hertz “NaN”: this is no finite number"),
    (spoilt(Hertz="-inf"), "row 3, Hertz “-inf”: this is no finite number"),
    (spoilt(Weight="-5 kg"), "row 3, Weight “-5 kg”: -5 kg is not plausible here"),
    (spoilt(Warranty="31 Feb 2020"), "row 3, Warranty “31 Feb 2020”: the calendar has no such"),
    (spoilt(Tag="ef-1"), "row 3, Tag “ef-1”: this site has the same tag in row 2 already"),
    (spoilt().replace(b"EF-2", b"EF\0-2"), "row 3: the file holds zero bytes"),
    (spoilt().decode().encode("utf-16-le"), "row 1: the file holds zero bytes"),
    (b"x" * 50_000_000, "the file has 50 MB; up to 20 MB are read"),
    (workbook(list(FULL), list((FULL | {"Tag": "=A1"}).values())), "row 2, Tag “=A1”: the formula"),
    (workbook(list(FULL), list(FULL.values()), [""] * 20, merge="A2:A3"), "row 3, Owner “A2:A3”"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "told"), HOSTILE, ids=[told[:30] for _, told in HOSTILE])
def test_hostile_file_then_a_sentence_and_nothing_is_stored(data: bytes, told: str) -> None:
    (said, *_) = [complaint_sentence(said) for said in bring(data).complaints if said]
    assert (said[: len(told)], set(row_counts().values())) == (told, {0})


def test_one_bad_row_then_nothing_is_stored() -> None:
    bring(csv_file(*[FULL | {"Tag": f"EF-{n}"} for n in range(50)], FULL | {"Power (hp)": "NaN"}))
    assert set(row_counts().values()) == {0}


@pytest.fixture
def rival() -> Iterator[None]:
    """Somebody who stores an owner of the same name while we do."""

    def intrude(**_: Any) -> None:
        Owner.objects.create(name="Ashdown Kitchens")

    fans_touched.connect(intrude)
    yield
    fans_touched.disconnect(intrude)


@pytest.mark.usefixtures("rival")
def test_database_refuses_a_row_then_nothing_is_stored() -> None:
    report = bring(csv_file(FULL))
    assert (codes(report), set(row_counts().values())) == ([(0, "", "register_moved")], {0})


def test_messy_file_then_everything_wrong_with_it_is_told(root: Path) -> None:
    report = bring((root / "fixtures/examples/messy_fleet.csv").read_bytes())
    expected = (root / "fixtures/examples/messy_fleet_told.txt").read_text().splitlines()
    assert [complaint_sentence(said) for said in report.complaints] == expected


def day_rows(*days: str) -> bytes:
    """Fans installed on these days."""
    return csv_file(*[FULL | {"Tag": f"EF-{n}", "Installed on": day} for n, day in enumerate(days)])


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (
            ("03/04/2025", "2020-01-02", "05/06/2024", "07/08/2023"),
            ["rows 2, 4-5, Installed on for example “03/04/2025”: month and day could be either "
             "way round; write the dates of this column as in 2026-03-02"],
        ),
        (
            ("03/04/2025", "13/04/2025", "04/13/2025"),
            ["row 2, Installed on “03/04/2025”: month and day could be either way round; write the "
             "dates of this column as in 2026-03-02"],
        ),
        (
            ("soon", "later", "soon"),
            ["rows 2, 4, Installed on “soon”: this is no date; write it as in 2026-03-02",
             "row 3, Installed on “later”: this is no date; write it as in 2026-03-02"],
        ),
    ],
    ids=["unclear", "both orders", "no dates"],
)  # fmt: skip
def test_column_of_bad_dates_then_told_once_with_its_rows(
    days: tuple[str, ...], told: list[str]
) -> None:
    assert [complaint_sentence(said) for said in bring(day_rows(*days)).complaints] == told


def test_merged_cells_among_the_fans_then_complaint() -> None:
    data = workbook(list(FULL), list(FULL.values()), [""] * len(FULL), merge="A2:A3")
    assert [c for c in codes(bring(data)) if c[1] == "Owner"] == [(3, "Owner", "merged")]


def commented(*places: str) -> bytes:
    """Two good fans in a workbook, with comments on these cells and one on a second sheet."""
    book = openpyxl.Workbook()
    for row in (list(FULL), list(FULL.values())):
        book.worksheets[0].append(row)
    for sheet, place in [(book.worksheets[0], p) for p in places] + [(book.create_sheet(), "A1")]:
        sheet[place].comment = Comment("the motor hums", "Theo")
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def test_cells_with_comments_then_said_once_where_they_are() -> None:
    report = bring(commented("Q2", "B2", "A1"))
    told = [note for note in note_sentences(report.notes) if "comment" in note]
    assert (report.refused, told) == (False, [
        "cells have comments, which are not read (3: A1, B2, Q2); copy what matters into a column "
        "such as Fan notes"
    ])  # fmt: skip


def test_comments_on_another_sheet_only_then_nothing_is_said_of_them() -> None:
    assert "comments" not in [note.code for note in bring(commented()).notes]


def test_merged_title_above_the_headings_then_no_complaint() -> None:
    data = workbook(["Our fans", ""], list(FULL), list(FULL.values()), merge="A1:B1")
    assert not bring(data).refused


def test_formula_without_result_in_a_known_column_then_complaint() -> None:
    data = workbook(list(FULL), list((FULL | {"Serial": "=A1"}).values()))
    assert codes(bring(data)) == [(2, "Serial", "formula_without_value")]


def test_formula_without_result_in_another_column_then_no_complaint() -> None:
    data = workbook([*FULL, "Colour"], [*FULL.values(), "=A1"])
    assert not bring(data).refused
