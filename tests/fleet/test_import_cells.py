"""Cells: numbers, units, dates, words, and what is refused."""

from datetime import date
from typing import Any

import openpyxl.utils.datetime
import pytest

from fleet.imports.cells import Reader
from fleet.imports.columns import BY_KEY
from fleet.imports.complaints import CellError
from fleet.imports.days import day_order, read_day, read_days
from fleet.ratings import UNREADABLE


def read(field: str, text: str, unit: str = "", part: str = "machine") -> Any:
    return Reader(BY_KEY[part, field], unit).read(text)


def complaint(field: str, text: str, unit: str = "", part: str = "machine") -> str:
    with pytest.raises(CellError) as error:
        read(field, text, unit, part)
    return error.value.code


# NIST SP 811 appendix B: 1 horsepower (550 ft lbf/s) = 745.6999 W, 1 inch = 25.4 mm exactly
@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("power_hp", "745.6999 W", 1.0),
        ("power_hp", "3.7285 kW", 5.0),
        ("bore_mm", "1 in", 25.4),
        ("weight_kg", "100 lb", 45.359237),
        ("ambient_c", "104 F", 40.0),
        ("temperature_rise_c", "144 F_difference", 80.0),
    ],
)
def test_number_with_unit_then_in_the_columns_unit(field: str, text: str, value: float) -> None:
    assert read(field, text) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("5", 5.0), ("1/3", 1 / 3), ("1-1/2", 1.5), ("1 1/2", 1.5), ("1½", 1.5), ("0,75", 0.75),
        (".5 hp", 0.5), ("7.5HP", 7.5),
    ],
)  # fmt: skip
def test_power_as_people_write_it_then_read(text: str, value: float) -> None:
    assert read("power_hp", text, "hp") == pytest.approx(value)


def test_power_in_cell_unit_then_beats_the_headings() -> None:
    assert read("power_hp", "746 W", "hp") == pytest.approx(1.0004, abs=1e-4)


# Spreadsheets keep 6 % as the number 0.06 and only show the sign.
@pytest.mark.parametrize(("text", "value"), [("0.06", 6), ("6%", 6), ("10", 10), ("0.5", 0.5)])
def test_percent_as_spreadsheets_keep_it_then_read(text: str, value: float) -> None:
    assert read("capacitor_tolerance_percent", text, "%") == pytest.approx(value)


def test_rise_in_degrees_then_the_same_kelvin() -> None:
    assert read("temperature_rise_c", "80 °C") == 80.0


def test_speed_with_thousands_comma_then_read() -> None:
    assert read("speed_rpm", "1,725 rpm") == 1725.0


@pytest.mark.parametrize(
    ("field", "text", "code"),
    [
        ("power_hp", "5", "unit_missing"),
        ("power_hp", "5 volts", "unit_misfit"),
        ("power_hp", "5 zorks", "unit_unknown"),
        ("power_hp", "-1 hp", "out_of_range"),
        ("power_hp", "2000 hp", "out_of_range"),
        ("power_hp", "1/0 hp", "not_finite"),
        ("power_hp", "9" * 400 + "/1 hp", "not_finite"),
        ("speed_rpm", "NaN", "not_finite"),
        ("speed_rpm", "-inf", "not_finite"),
        ("speed_rpm", "1e999", "not_finite"),
        ("speed_rpm", "fast", "not_a_number"),
        ("speed_rpm", "1.725,5", "not_a_number"),
        ("serial", "#REF!", "error_cell"),
        ("serial", "A\u202eB", "hidden_character"),
        ("serial", "A\x00B", "hidden_character"),
        ("serial", "x" * 81, "too_long"),
        ("insulation_class", "Z", "not_a_choice"),
        ("motor_type", "single phase", "single_phase"),
        ("volts", "two hundred", "told"),
        ("installed_on", "?", "not_a_plate_part"),
    ],
)
def test_plate_cell_that_cannot_be_then_complaint(field: str, text: str, code: str) -> None:
    assert complaint(field, text) == code


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("America/Chicgo", "America/Chicago"),
        ("Chicago", "America/Chicago"),
        ("Los Angles", "America/Los_Angeles"),
        ("US/Centrl", "America/Chicago"),
        ("Easten", "America/New_York"),
    ],
)
def test_zone_that_is_a_slip_then_the_nearest_is_named(text: str, zone: str) -> None:
    with pytest.raises(CellError) as error:
        read("time_zone", text, part="site")
    assert error.value.told == {"zone": zone}


@pytest.mark.parametrize("text", ["UTC-5", "GMT", "Middle Earth", "EST5EDT/Nowhere"])
def test_zone_that_is_like_none_then_none_is_named(text: str) -> None:
    assert complaint("time_zone", text, part="site") == "zone_unknown"


def test_comma_that_could_be_either_then_complaint_shows_both() -> None:
    with pytest.raises(CellError) as error:
        read("spending_limit", "1,500", part="agreement")
    assert (error.value.code, error.value.told) == ("comma_unclear", {"low": "1.5", "high": "1500"})


@pytest.mark.parametrize("text", ["?", "unreadable", " ILLEGIBLE "])
def test_plate_cell_marked_unreadable_then_says_so(text: str) -> None:
    assert read("serial", text) is UNREADABLE


@pytest.mark.parametrize("text", ["", "  ", "-", "N/A", "tbd", "Unknown"])
def test_cell_with_nothing_recorded_then_none(text: str) -> None:
    assert read("serial", text) is None


@pytest.mark.parametrize(
    ("part", "field", "text", "value"),
    [
        ("owner", "name", "  Ashdown\u00a0 Kitchens ", "Ashdown Kitchens"),
        ("owner", "email", "mailto:a@b.example", "a@b.example"),
        ("site", "country", "United States", "US"),
        ("site", "time_zone", "Central Time", "America/Chicago"),
        ("site", "time_zone", "america/new york", "America/New_York"),
        ("site", "surroundings", "Marine", "coastal"),
        ("system", "classes", "Moderate; solid-fuel", ["solid_fuel", "moderate"]),
        ("system", "make_up_air_interlock", "Y", True),
        ("agreement", "visits_per_year", "As due", "as due"),
        ("agreement", "visits_per_year", "Quarterly", 4),
        ("agreement", "visits_per_year", "semi-annual", 2),
        ("machine", "motor_type", "3-Phase", "three_phase"),
        ("machine", "motor_type", "Three", "three_phase"),
        ("machine", "drive", "V-belt", "belt"),
        ("machine", "motor_type", "ECM", "ec"),
        ("machine", "drive", "Belt-driven", "belt"),
        ("machine", "volts", "208-230 / 460 V", "208-230/460"),
        ("machine", "full_load_amps", "3.3-3.2/1.6 A", "3.3-3.2/1.6"),
        ("machine", "volts", "?/460", "?/460"),
        ("feed", "control", "VFD bypassed", "drive_bypassed"),
        ("feed", "poles", "3.0", 3),
        ("feed", "overload_setting_a", "none", "none"),
    ],
)
def test_word_as_people_write_it_then_our_code(
    part: str, field: str, text: str, value: object
) -> None:
    assert read(field, text, part=part) == value


@pytest.mark.parametrize(
    ("part", "field", "text", "code"),
    [
        ("owner", "email", "somebody", "not_an_email"),
        ("site", "country", "Ruritania", "country_unknown"),
        ("site", "latitude", "91", "out_of_range"),
        ("system", "classes", "high; spicy", "not_a_class"),
        ("system", "hours", "9-5", "told"),
        ("agreement", "stretching_allowed", "perhaps", "not_yes_no"),
        ("agreement", "visits_per_year", "0", "out_of_range"),
        ("agreement", "visits_per_year", "bimonthly", "not_visits"),
        ("feed", "poles", "2.5", "not_whole"),
        ("fan", "tag", "?", "not_a_plate_part"),
        ("fan", "tag", "EF\u200b1", "hidden_character"),
    ],
)
def test_word_nobody_knows_then_complaint(part: str, field: str, text: str, code: str) -> None:
    assert complaint(field, text, part=part) == code


# the same day in the ways spreadsheets and people write it; ISO 8601 for the first
@pytest.mark.parametrize(
    "text",
    ["2026-03-14", "2026/3/14", "3/14/2026", "14.3.2026", "14-03-2026", "14 Mar 2026",
     "March 14, 2026", "Mar 14th 2026", "2026-03-14 00:00"],
)  # fmt: skip
def test_day_as_people_write_it_then_read(text: str) -> None:
    assert read_day(text) == date(2026, 3, 14)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("3/2/2026", "day_unclear"),
        ("2/30/2026", "no_such_day"),
        ("2026-02-29", "no_such_day"),
        ("3/14/26", "year_short"),
        ("15-Mar-18", "year_short"),
        ("2019", "day_incomplete"),
        ("June 2019", "day_incomplete"),
        ("2019-05", "day_incomplete"),
        ("1899-12-30", "day_out_of_range"),
        ("3020-01-01", "day_out_of_range"),
        ("soon", "not_a_day"),
    ],
)
def test_day_that_cannot_be_then_complaint(text: str, code: str) -> None:
    with pytest.raises(CellError) as error:
        read_day(text)
    assert error.value.code == code


def test_day_as_spreadsheet_number_then_told_what_it_is() -> None:
    # openpyxl: the day number that spreadsheets keep for a date
    number = openpyxl.utils.datetime.to_excel(date(2024, 1, 2))
    with pytest.raises(CellError) as error:
        read_day(f"{number:g}")
    assert error.value.code == "day_serial"


@pytest.mark.parametrize(
    ("cells", "order", "read"),
    [
        (["3/14/2026", "3/2/2026"], "month_first", date(2026, 3, 2)),
        (["14/3/2026", "3/2/2026"], "day_first", date(2026, 2, 3)),
    ],
)
def test_column_with_one_clear_date_then_settles_the_others(
    cells: list[str], order: str, read: date
) -> None:
    assert (day_order(cells), read_day("3/2/2026", day_order(cells))) == (order, read)


def test_column_with_both_orders_then_unclear_dates_stay_unclear() -> None:
    with pytest.raises(CellError, match="day_unclear"):
        read_day("3/2/2026", day_order(["3/14/2026", "14/3/2026"]))


@pytest.mark.parametrize("slip", ["31/02/2020", "2/30/2020", "40/1/2020"])
def test_day_that_does_not_exist_then_proves_no_order(slip: str) -> None:
    assert day_order([slip, "3/14/2026", "3/2/2026"]) == "month_first"


def test_iso_days_then_prove_no_order_of_the_others() -> None:
    with pytest.raises(CellError, match="day_unclear"):
        read_day("03/04/2020", day_order(["2020-03-04", "2019-06-15 00:00:00"]))


def test_days_listed_then_sorted_and_each_once() -> None:
    assert read_days("2026-06-14; 2026-03-01\n2026-06-14") == [date(2026, 3, 1), date(2026, 6, 14)]
