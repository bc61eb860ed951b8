"""What a fleet file's author is told beyond complaints: new names, likenesses, kept spellings."""

from __future__ import annotations

from datetime import datetime

import pytest

from fleet.imports.likeness import _without_a_letter
from fleet.wording import complaint_sentence, new_names, note_sentences
from tests.fleet.sheets import FULL, PLAIN, bring, codes, csv_file, workbook

pytestmark = [pytest.mark.django_db, pytest.mark.once]
GREBE = PLAIN | {"Owner": "Grebe Lane Grill", "Site": "Uphill", "Address": "4 Grebe Lane"}


def notes(*rows: dict[str, str], code: str) -> list[str]:
    """The notes of this code, in words."""
    found = [note for note in bring(csv_file(*rows)).notes if note.code == code]
    return note_sentences(found)


def test_new_owners_and_sites_then_named() -> None:
    other = GREBE | {"Site": "Downhill", "Address": "9 Grebe Lane"}
    assert new_names(bring(csv_file(GREBE, other), dry_run=True)) == [
        "New owner: Grebe Lane Grill.", "New sites: Uphill, Downhill.",
    ]  # fmt: skip


def test_many_new_sites_then_the_first_are_named_and_the_rest_counted() -> None:
    rows = [GREBE | {"Site": f"Site {n}"} for n in range(23)]
    (_, told) = new_names(bring(csv_file(*rows)))
    assert told.endswith("Site 18, Site 19 and 3 more.")


def test_misspelt_owner_then_noted_with_the_one_it_may_mean() -> None:
    bring(csv_file(GREBE))
    slip = GREBE | {"Owner": "Grebe Lane Gril"}
    assert notes(slip, code="almost_like") == [
        "row 2, Owner “Grebe Lane Gril”: almost like Grebe Lane Grill, but taken as another; is "
        "one of them misspelt?"
    ]


def test_misspelt_owner_in_one_file_then_noted_once() -> None:
    assert len(notes(GREBE, GREBE | {"Owner": "Grebe Lane Gril"}, code="almost_like")) == 1


def test_misspelt_site_then_noted() -> None:
    bring(csv_file(GREBE))
    assert len(notes(GREBE | {"Site": "Uphil"}, code="almost_like")) == 1


def test_same_site_under_two_owners_then_noted() -> None:
    bring(csv_file(GREBE))
    assert notes(GREBE | {"Owner": "Heron Foods"}, code="site_of_two") == [
        "row 2, Site “Uphill”: taken as a site of Heron Foods, while Grebe Lane Grill has one of "
        "the same name and address"
    ]


def test_same_site_under_two_new_owners_then_noted_once() -> None:
    assert len(notes(GREBE, GREBE | {"Owner": "Heron Foods"}, code="site_of_two")) == 1


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("Grebe Lane Grill", "Grebe Lane Gril", True),
        ("Grebe Lane Grill", "Grebe Lnae Grill", True),
        ("Grebe Lane Grill", "Grebe-Lane Grill, LLC", True),
        ("Grebe Lane Grill", "Grebe Lane Gralt", False),
        ("Store 12", "Store 13", False),
        ("Building A", "Building B", False),
        ("Inn", "Ins", False),
    ],
)
def test_names_then_alike_where_one_letter_differs(one: str, other: str, alike: bool) -> None:
    assert bool(set(_without_a_letter(one)) & set(_without_a_letter(other))) is alike


def test_site_on_record_in_another_spelling_then_that_is_the_one_kept() -> None:
    bring(csv_file(GREBE | {"Site": "Grebe Lane Uphill"}))
    rows = [GREBE | {"Site": "Grebe Lane uphill", "Tag": f"EF-{n}"} for n in range(1, 4)]
    assert notes(*rows, code="spelling") == [
        "Site “Grebe Lane uphill”: spelled in two ways; kept as Grebe Lane Uphill (3 rows)"
    ]


def test_coordinate_that_cannot_be_read_then_only_that_is_told() -> None:
    rows = [GREBE | {"Latitude": "411.7", "lng": "-88.3"}]
    assert codes(bring(csv_file(*rows))) == [(2, "Latitude", "out_of_range")]


@pytest.mark.parametrize("cell", ["2026-01-02", "2-Jan"])
@pytest.mark.parametrize("heading", ["Tag", "Power (hp)", "Full-load amps", "Circuit"])
def test_text_that_a_spreadsheet_made_a_date_then_told(heading: str, cell: str) -> None:
    (said,) = bring(csv_file(FULL | {heading: cell})).complaints
    assert "this is a date, which spreadsheets make of texts such as 1-2" in complaint_sentence(
        said
    )


def test_one_third_hp_as_a_workbook_keeps_it_then_told() -> None:
    row = list((FULL | {"Power (hp)": ""}).values())
    row[list(FULL).index("Power (hp)")] = datetime(2026, 1, 3)  # noqa: DTZ001  # spreadsheets know no zone
    assert codes(bring(workbook(list(FULL), row))) == [(2, "Power (hp)", "made_a_date")]


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ({"Full-load amps": "2 to"}, "write as in 3.3-3.2/1.6"),
        ({"Volts": "230", "Full-load amps": "-2,4"}, "begins or ends with a dash"),
        ({"Volts": "208,230", "Full-load amps": ""}, "write decimals with a point"),
        ({"Closed days": "24.12.2026, soon"}, "several parted by ;"),
        ({"Fan notes": "x" * 2001}, "2000 fit; shorten it"),
        ({"Model": "x" * 81}, "80 fit; shorten it, or move it to Fan notes"),
        ({"PH": "1"}, "this and a motor of type three phase do not go together"),
        ({"Speed (rpm)": "1725/1425"}, "these are two numbers; write the rated one here"),
        ({"Breaker (A)": "20/3"}, "these are two numbers; write the rated one here"),
        ({"Installed on": "2026-03-03"}, "has not come yet (at the site it is 2026-03-02)"),
    ],
)
def test_cell_that_cannot_be_then_the_remedy_helps(cells: dict[str, str], told: str) -> None:
    (said, *_) = bring(csv_file(FULL | cells)).complaints
    assert told in complaint_sentence(said)


def test_amperes_with_a_decimal_comma_then_read() -> None:
    assert not bring(csv_file(FULL | {"Full-load amps": "3,3-3,2/1,6"})).refused


def test_closed_days_with_commas_then_read() -> None:
    assert not bring(csv_file(FULL | {"Closed days": "24.12.2026, 25.12.2026"})).refused


def test_headings_repeated_further_down_then_told_once() -> None:
    (said, *more) = bring(csv_file(PLAIN, {name: name for name in PLAIN})).complaints
    assert (complaint_sentence(said), more) == (
        "row 3: these are the headings again; delete the row", []
    )  # fmt: skip
