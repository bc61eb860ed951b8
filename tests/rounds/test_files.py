"""Rounds as CSV and GeoJSON: read back by other readers, nothing computed, longitudes first."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from config.spreadsheets import csv_bytes
from fleet.models import Fan
from schedules.rounds.mapped import box_around, geojson_of, line_through
from schedules.rounds.services.publishing import publish_week
from schedules.rounds.sheet import WeekSheet
from schedules.rounds.tabled import csv_of
from tests.formats.checks import is_geojson
from tests.rounds.weeks import draft, park, plan, stops, who

WEEK = "2026-W50"


def rows_of(data: bytes) -> list[dict[str, str]]:
    """A table as Python's own reader has it, the mark of UTF-8 taken off."""
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


@pytest.fixture
def sheet(fans: list[Fan]) -> WeekSheet:
    park()
    plan()
    return WeekSheet(draft())


# What begins so is a formula to spreadsheet programs (OWASP, CSV Injection).
@pytest.mark.parametrize("text", ["=1+1", "+1", "-1 Club", "@SUM(A1)", "\t=1", "\r=1"])
def test_cell_when_it_would_be_a_formula_then_text(text: str) -> None:
    (row,) = rows_of(csv_bytes(["a", "b"], [[text, -88.6]]))
    assert row == {"a": f"'{text}", "b": "-88.6"}


# RFC 4180, 2: lines end CRLF, what holds a comma, quote or line end is quoted; UTF-8 with its mark.
def test_table_then_by_the_format_and_marked_as_utf_8() -> None:
    data = csv_bytes(["a"], [['Über, "so"\nund']])
    assert data == b'\xef\xbb\xbfa\r\n"\xc3\x9cber, ""so""\nund"\r\n'


@pytest.mark.django_db
def test_table_of_a_week_then_a_row_for_each_stop_with_units(sheet: WeekSheet) -> None:
    first = stops()[0]
    rows = rows_of(csv_of(sheet))
    told = (rows[0]["Week"], rows[0]["Version"], rows[0]["Day"], rows[0]["Site"])
    assert told == (WEEK, "draft", str(first.round.day), first.site.name)
    assert float(rows[0]["Longitude (°)"]) == first.site.longitude
    assert int(rows[0]["Driving there (min)"]) == first.travel_minutes
    hours, minutes = divmod(first.arrive_minute, 60)
    assert rows[0]["Arrives (America/Chicago)"] == f"{first.round.day} {hours:02}:{minutes:02}"
    assert len(rows) == len(stops())


@pytest.mark.django_db
def test_map_of_a_week_then_valid_with_longitudes_first(sheet: WeekSheet) -> None:
    told = json.loads(json.dumps(geojson_of(sheet)))
    assert is_geojson(told)
    points = {each["properties"]["site"]: each["geometry"]["coordinates"]
              for each in told["features"] if each["properties"]["kind"] == "stop"}  # fmt: skip
    assert points == {stop.site.name: [stop.site.longitude, stop.site.latitude] for stop in stops()}
    assert told["bbox"] == [-88.6, 30.5, -88.6, 30.53]


@pytest.mark.django_db
def test_round_on_a_map_then_from_the_base_over_its_stops_and_back(sheet: WeekSheet) -> None:
    line = geojson_of(sheet)["features"][0]["geometry"]["coordinates"]
    on_way = [(stop.site.longitude, stop.site.latitude) for stop in stops()]
    assert line == [(-88.6, 30.5), *on_way, (-88.6, 30.5)]


@pytest.mark.django_db
def test_map_when_a_site_has_lost_its_place_then_valid_without_one(sheet: WeekSheet) -> None:
    site = stops()[0].site
    site.latitude = site.longitude = None
    site.save()
    told = geojson_of(WeekSheet(draft()))
    lost = [each for each in told["features"] if each["geometry"] is None]
    assert (is_geojson(told), [each["properties"]["site"] for each in lost]) == (True, [site.name])


# RFC 7946, 3.1.9 has this line and what it is cut into.
def test_line_when_it_crosses_the_antimeridian_then_cut_as_the_standard_shows() -> None:
    assert line_through([(170, 45), (-170, 45)]) == {
        "type": "MultiLineString",
        "coordinates": [[(170, 45), (180, 45)], [(-180, 45), (-170, 45)]],
    }


def test_line_when_it_crosses_and_comes_back_then_three_pieces() -> None:
    pieces: Any = line_through([(-179, 10), (179, 12), (-179, 14)])
    assert pieces["coordinates"] == [
        [(-179, 10), (-180, 11)], [(180, 11), (179, 12), (180, 13)], [(-180, 13), (-179, 14)],
    ]  # fmt: skip
    assert is_geojson(pieces)


# RFC 7946, 5.2: Fiji, from 16 to 20 degrees south.
def test_box_when_across_the_antimeridian_then_west_is_the_greater() -> None:
    assert box_around([(177, -16), (-178, -20), (179, -18)]) == [177, -20, -178, -16]


@pytest.mark.parametrize(("places", "box"), [
    ([(5, 1)], [5, 1, 5, 1]), ([(-10, 0), (20, 3)], [-10, 0, 20, 3]),
])  # fmt: skip
def test_box_when_elsewhere_then_the_narrowest(places: Any, box: list[float]) -> None:
    assert box_around(places) == box


@pytest.mark.django_db
@pytest.mark.parametrize(("kind", "begins"), [
    ("csv", b"\xef\xbb\xbfWeek,"), ("geojson", b'{"type": "FeatureCollection"'),
    ("json", b'{"week": "2026-W50", "version": 1'),
])  # fmt: skip
def test_command_when_asked_then_what_was_published(
    sheet: WeekSheet, kind: str, begins: bytes, tmp_path: Path
) -> None:
    publish_week(who(1))
    path = tmp_path / "rounds"
    call_command("export_rounds", str(path), "--week", WEEK, "--as", kind)
    assert path.read_bytes().startswith(begins)


@pytest.mark.django_db
@pytest.mark.parametrize(("asked", "words"), [
    (["--week", "2026-W54"], "is no week"), (["--week", "2027-W01"], "plan_rounds plans it"),
    (["--week", WEEK], "has no such version; it has: a draft"),
    (["--week", WEEK, "--published", "3"], "has no such version"),
])  # fmt: skip
def test_command_when_there_is_no_such_thing_then_told(
    sheet: WeekSheet, asked: list[str], words: str
) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("export_rounds", *asked)
