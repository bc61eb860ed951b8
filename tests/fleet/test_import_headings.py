"""Headings: which column a file means by its words and signs."""

import re

import openpyxl.utils
import pytest

from fleet.imports.columns import COLUMNS, column_table
from fleet.imports.complaints import Complaints
from fleet.imports.headings import find_header, match_heading
from fleet.imports.table import Table, column_letters, column_number


def matched(text: str) -> tuple[str, str, str] | None:
    found = match_heading(text)
    return (found[0].field, found[1], found[2]) if found else None


def complaints_of(*rows: list[str]) -> list[tuple[int, str, str]]:
    complaints = Complaints()
    find_header(Table(list(enumerate(rows, start=1))), complaints)
    return [(said.row, said.column, said.code) for said in complaints]


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.heading)
def test_documented_heading_in_any_dress_then_its_own_column(column: object) -> None:
    heading = column.heading  # type: ignore[attr-defined]
    dressed = re.sub(r"[ -]", "_", heading).upper()
    assert [match_heading(h)[0] for h in (heading, dressed)] == [column, column]  # type: ignore[index]


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("HP", "power_hp", "hp"),
        ("Motor kW", "power_hp", "kW"),
        ("power_kW", "power_hp", "kW"),
        ("Power [W]", "power_hp", "W"),
        ("Bore [in]", "bore_mm", "in"),
        ("bore_mm", "bore_mm", "mm"),
        ("Ambient (°F)", "ambient_c", "F"),
        ("Temp. rise (°C)", "temperature_rise_c", "K"),
        ("Weight lbs", "weight_kg", "lb"),
        ("Capacitor (µF)", "capacitor_uf", "uF"),
        ("MFD", "capacitor_uf", "uF"),
        ("F.L.A.", "full_load_amps", ""),
        ("F L A", "full_load_amps", ""),
        ("S.F.", "service_factor", ""),
        ("S/N", "serial", ""),
        ("H.P.", "power_hp", "hp"),
        ("R.P.M.", "speed_rpm", "rpm"),
        ("FLA (A)", "full_load_amps", "A"),
        ("Unit #", "tag", ""),
        ("Fan No.", "tag", ""),
        ("  CUSTOMER  name ", "name", ""),
        ("Kitchen hrs", "hours", ""),
        ("Phone #", "phone", ""),
        ("Contact e-mail", "email", ""),
        ("Street Addr.", "address", ""),
        ("Belt No.", "belt", ""),
        ("Shaft Dia (in)", "bore_mm", "in"),
        ("Roof loc.", "place", ""),
        ("Kitchen inches", "", ""),
        ("Époque", "", ""),
    ],
)
def test_usual_heading_then_column_and_unit(heading: str, field: str, unit: str) -> None:
    assert matched(heading) == ((field, unit, "") if field else None)


def test_unit_that_does_not_fit_in_heading_then_told() -> None:
    assert matched("Speed (m/s)") == ("speed_rpm", "", "m/s")


def test_synonyms_then_no_two_columns_share_one() -> None:
    named = [s.partition("=")[0].casefold() for c in COLUMNS for s in (c.heading, *c.synonyms)]
    assert sorted(named) == sorted(set(named))


def test_headings_below_a_title_then_found() -> None:
    assert complaints_of(["Our fans"], [], ["Owner", "Site", "Tag"]) == []


def test_heading_nearly_ours_then_complaint() -> None:
    assert complaints_of(["Owner", "Site", "Tag", "Instaled on"]) == [(1, "D", "heading_slip")]


def test_heading_of_something_else_then_only_a_note() -> None:
    complaints = Complaints()
    find_header(Table([(1, ["Owner", "Site", "Tag", "Colour"])]), complaints)
    assert ([note.code for note in complaints.notes], complaints.count) == (["heading_unknown"], 0)


def test_two_headings_of_one_meaning_then_complaint() -> None:
    assert complaints_of(["Owner", "Customer", "Site", "Tag"]) == [(1, "B", "heading_twice")]


def test_needed_heading_missing_then_complaint() -> None:
    assert complaints_of(["Owner", "Site", "Volts"]) == [(1, "Tag", "heading_missing")]


def test_no_heading_at_all_then_complaint() -> None:
    assert complaints_of(["1", "2", "3"]) == [(1, "", "no_headings")]


@pytest.mark.parametrize("index", [0, 25, 26, 51, 52, 701, 702, 16_383])
def test_column_letters_then_as_the_reference_library(index: int) -> None:
    letters = openpyxl.utils.get_column_letter(index + 1)
    assert (column_letters(index), column_number(letters)) == (letters, index)


def test_column_table_then_names_every_heading() -> None:
    told = column_table()
    assert [c.heading for c in COLUMNS if c.heading not in told] == []


def test_visits_bought_say_that_they_count_for_each_site() -> None:
    assert "Visits per year: visits bought a year for each site" in column_table()
