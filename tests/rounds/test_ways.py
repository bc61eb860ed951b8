"""Travel times of one's own: what a file says, what is wrong with it, and that planning goes by it.

Distances are held against arithmetic on the sphere where none is given.
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import openpyxl
import pytest
from django.core.exceptions import PermissionDenied
from django.core.management import CommandError, call_command

from config.spreadsheets import csv_bytes
from fleet.models import Fan, Owner, Person, Site
from fleet.wording import complaint_sentence
from schedules.models import TravelPlace, TravelTime
from schedules.rounds.gathering import clock_of, gather
from schedules.rounds.layout import Layout
from schedules.rounds.sheet import WeekSheet
from schedules.rounds.telling import sums_texts
from schedules.rounds.ways.importing import TravelReport, forget_travel, import_travel_file
from schedules.rounds.ways.looking import look_over
from schedules.rounds.ways.places import Places
from schedules.rounds.ways.reading import MOST_GUESSED
from schedules.rounds.ways.telling import looked_texts
from tests.bookings.booked import NOW, planner
from tests.rounds.weeks import MONDAY, draft, park, plan, quill, stops

pytestmark = pytest.mark.django_db
ROOF_1, ROOF_2, ROOF_3 = (f"Roof of EF-{number}" for number in (1, 2, 3))
HOME = "base of Jo Park"


@pytest.fixture
def jo(fans: list[Fan]) -> Person:
    """Jo Park, whose base is there, among three roofs."""
    return park(base="North Yard")


def bring(*rows: str, head: str = "From,To,Minutes,Km", **told: Any) -> TravelReport:
    data = "\n".join([head, *rows]).encode()
    return import_travel_file(data=data, name="ways.csv", by=planner(), now=NOW, **told)


def complaints(*rows: str, **told: str) -> list[str]:
    return [complaint_sentence(said) for said in bring(*rows, **told).complaints]


def ways() -> dict[tuple[str, str], tuple[float, float]]:
    rows = TravelTime.objects.select_related("start__site", "end__site")
    return {(str(row.start), str(row.end)): (row.minutes, row.metres) for row in rows}


def told_now() -> list[str]:
    return list(looked_texts(look_over(Places.now())))


def test_file_when_brought_then_each_way_by_itself(jo: Person) -> None:
    report = bring(f"{HOME},{ROOF_1},18,14.2", f"{ROOF_1},{HOME},21,14.2")
    base = f"base of {jo}"
    assert ways() == {(base, ROOF_1): (18, 14200), (ROOF_1, base): (21, 14200)}
    assert (report.added, report.changed) == ({"ways": 2}, 0)


# International mile: 1609.344 m exactly (1959 agreement).
@pytest.mark.parametrize(("head", "row", "told"), [
    ("origin;destination;time (s);distance (mi)", f"{ROOF_1};{ROOF_2};90;2", (1.5, 3218.688)),
    ("FROM,To,Duration (h),metres", f"{ROOF_1},{ROOF_2},0.5,900", (30, 900)),
    ("from\tto\tmin\tkm", f"roof  of ef-1\t{ROOF_2}\t1,5\t2", (1.5, 2000)),
])  # fmt: skip
def test_file_when_its_headings_name_units_then_turned(
    jo: Person, head: str, row: str, told: tuple[float, float]
) -> None:
    bring(row, head=head)
    assert ways()[ROOF_1, ROOF_2] == pytest.approx(told)


@pytest.mark.parametrize("name", ["base of Jo Park", "base: park", "Base of J. Park", "north yard"])
def test_base_when_named_as_people_do_then_found(jo: Person, name: str) -> None:
    assert bring(f"{ROOF_1},{name},5,3").added == {"ways": 1}


@pytest.mark.parametrize("name", ["site {}", "Alder / Roof of EF-1"])
def test_site_when_named_at_length_then_found(jo: Person, fans: list[Fan], name: str) -> None:
    Owner.objects.filter(pk=fans[0].site.owner_id).update(name="Alder")
    assert bring(f"{name.format(fans[0].site_id)},{ROOF_2},5,3").added == {"ways": 1}


def test_workbook_when_it_has_no_distance_then_that_is_estimated(jo: Person) -> None:
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in (["From", "To", "Minutes"], [ROOF_1, ROOF_2, 7]):
        book.active.append(row)
    book.save(out)
    report = import_travel_file(data=out.getvalue(), name="w.xlsx", by=planner(), now=NOW)
    assert (report.added, report.estimated) == ({"ways": 1}, 1)
    # 0.01 degrees of a meridian of radius 6371 km, stretched by 1.3: our detour factor.
    assert ways()[ROOF_1, ROOF_2][1] == pytest.approx(0.01 * np.pi / 180 * 6_371_000 * 1.3)


def test_site_when_named_like_a_formula_then_found_as_our_own_files_write_it(
    jo: Person, fans: list[Fan]
) -> None:
    Site.objects.filter(pk=fans[0].site_id).update(name="@Harbor Diner")
    written = csv_bytes(["From", "To", "Minutes"], [["@Harbor Diner", ROOF_2, 5]])
    report = import_travel_file(data=written, name="w.csv", by=planner(), now=NOW)
    assert (b"'@" in written, report.added) == (True, {"ways": 1})


@pytest.mark.parametrize(("row", "told"), [
    (f"Roof of EF-9,{ROOF_2},5,3", "row 2, A “Roof of EF-9”: no site with coordinates and no base "
     "has this name; did you mean Roof of EF-"),
    (f"Mars,{ROOF_2},5,3", "row 2, A “Mars”: no site with coordinates and no base has this name; "
     "enter the site's coordinates, or the technician's base, in the register first"),
    (f",{ROOF_2},5,3", "row 2, A: the cell is blank; name a place, or delete the row"),
    (f"{ROOF_1},{ROOF_2},soon,3", "row 2, C “soon”: this is no number; write digits"),
    (f"{ROOF_1},{ROOF_2},-5,3", "row 2, C “-5”: -5 is not plausible here; check it; 0 to 1440 is"),
    (f"{ROOF_1},{ROOF_2},5,9000", "row 2, D “9000”: 9000 is not plausible here; check it; 0 to"),
    (f"{ROOF_1},{ROOF_1},5,0", "row 2, B “Roof of EF-1”: a way from a place to itself takes time"),
])  # fmt: skip
def test_row_when_wrong_then_its_place_value_and_remedy(jo: Person, row: str, told: str) -> None:
    (said,) = complaints(row)
    assert said.startswith(told)
    assert not TravelTime.objects.exists()


def test_file_when_all_is_wrong_then_all_of_it_is_told(jo: Person) -> None:
    assert len(complaints(f"Mars,{ROOF_2},x,y", f"{ROOF_1},Venus,1,1")) == 4


def test_file_when_it_names_another_fleet_then_near_names_are_sought_for_the_first_alone(
    jo: Person,
) -> None:
    said = complaints(*(f"Roof of EF-{number},{ROOF_2},5,3" for number in range(1000, 1000 + 120)))
    assert [each.count("did you mean") for each in said] == [1] * MOST_GUESSED + [0] * 20


def test_file_when_two_rows_say_otherwise_of_one_way_then_told(jo: Person) -> None:
    (said,) = complaints(f"{ROOF_1},{ROOF_2},5,3", f"{ROOF_1},{ROOF_2},6,3")
    assert "row 3, C “6”: row 2 says 5 min of the same way" in said


def test_file_when_a_column_is_missing_then_told(jo: Person) -> None:
    (said,) = complaints(f"{ROOF_1},{ROOF_2}", head="From,To")
    assert said == "row 1, Minutes: the column is missing; add it, or rename the one that holds it"


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7"])
def test_file_when_it_is_no_table_then_told(data: bytes) -> None:
    assert import_travel_file(data=data, name="x", by=planner(), now=NOW).refused


def test_site_when_two_owners_have_its_name_then_asked_which(jo: Person, fans: list[Fan]) -> None:
    dory = Owner.objects.create(name="Dory")
    Site.objects.filter(pk=fans[2].site_id).update(name=ROOF_1, owner=dory)
    (said,) = complaints(f"{ROOF_1},{ROOF_2},5,3")
    assert "several places have this name; write one of" in said
    assert f"Dory / {ROOF_1}" in said


def test_base_when_two_have_one_name_and_different_places_then_asked_which(jo: Person) -> None:
    quill(base="North Yard", latitude=31.0)
    (said,) = complaints(f"North Yard,{ROOF_2},5,3")
    assert "write one of base of park, base of quill" in said


def test_base_when_several_set_out_there_then_for_all_of_them(jo: Person) -> None:
    quill(base="North Yard")
    assert bring(f"North Yard,{ROOF_2},5,3").added == {"ways": 2}


def test_file_when_read_dry_or_brought_again_then_nothing_is_stored(jo: Person) -> None:
    row = f"{ROOF_1},{ROOF_2},5,3"
    assert (bring(row, dry_run=True).added, ways()) == ({"ways": 1}, {})
    bring(row)
    again, other = bring(row), bring(f"{ROOF_1},{ROOF_2},6,3")
    assert (again.changes_nothing, other.changed, len(ways())) == (True, 1, 1)


def test_row_when_its_minutes_are_blank_then_left_out(jo: Person) -> None:
    report = bring(f"{ROOF_1},{ROOF_2},,", f"{ROOF_2},{ROOF_1},5,3")
    assert (report.blank, report.added) == (1, {"ways": 1})


@pytest.mark.parametrize("rows", [[], [f"{ROOF_1},{ROOF_2},,", f"{ROOF_2},{ROOF_1},,"]])
def test_file_when_nobody_filled_it_in_then_not_taken_for_one_on_record(
    jo: Person, rows: list[str]
) -> None:
    (said,) = complaints(*rows)
    assert "C: no row tells a way with its minutes; fill the minutes in" in said


def problem_minutes(*names: str) -> list[list[float]]:
    """The ways among these roofs as the planner is told them."""
    gathered = gather(clock_of(MONDAY, NOW), Layout({}))
    problem = gathered.problem((), iterations=0)
    nodes = {gathered.sites[each.key].name: each.node for each in problem.sites}
    at = [nodes[name] for name in names]
    return [[float(problem.travel.minutes[a, b]) for b in at] for a in at]


def test_planner_when_ways_are_on_record_then_told_them_and_great_circles_for_the_rest(
    jo: Person,
) -> None:
    plan(iterations=0)
    expected = problem_minutes(ROOF_1, ROOF_2, ROOF_3)
    bring(f"{ROOF_1},{ROOF_2},50,3", f"{ROOF_3},{ROOF_1},7.5,3")
    expected[0][1], expected[2][0] = 50, 7.5
    assert problem_minutes(ROOF_1, ROOF_2, ROOF_3) == expected


def test_plan_when_a_way_takes_long_then_driven_so_and_the_rest_said_to_be_estimated(
    jo: Person,
) -> None:
    bring(*(f"{HOME},{roof},44,30" for roof in (ROOF_1, ROOF_2, ROOF_3)))
    plan()
    days = len({stop.round_id for stop in stops()})
    figures = draft().figures
    assert stops()[0].travel_minutes == 44
    assert (figures["ways"], figures["ways_estimated"]) == (3 + days, 3)
    assert any("are estimated" in each for each in sums_texts(WeekSheet(draft())))


# 0.001 degrees of latitude are 111 m, 0.0005 are 56 m: beyond and within our 100 m.
@pytest.mark.parametrize(("degrees", "holds"), [(0.001, False), (0.0005, True)])
def test_way_when_its_site_moved_then_holds_no_more_and_is_told(
    jo: Person, fans: list[Fan], degrees: float, holds: bool
) -> None:
    bring(f"{ROOF_1},{ROOF_2},50,3")
    site = fans[0].site
    site.latitude += degrees
    site.save()
    plan(iterations=0)
    assert (problem_minutes(ROOF_1, ROOF_2)[0][1] == 50) is holds
    told = f"Moved since their ways were told, which hold no more: {ROOF_1}. Bring them again."
    assert (told in told_now()) is not holds


def test_way_when_a_base_moved_then_holds_no_more_until_brought_again(jo: Person) -> None:
    bring(f"{HOME},{ROOF_1},18,14", f"{ROOF_1},{HOME},18,14")
    jo.working_week.longitude += 0.1
    jo.working_week.save()
    bring(f"{HOME},{ROOF_1},25,20")
    looked = look_over(Places.now())
    assert (len(looked.ways), looked.moved) == (1, ())


def test_ways_when_few_places_have_any_then_detours_go_over_those_alone(jo: Person) -> None:
    # Over all places it took as long as their number cubed, on a fleet without any way too.
    bring(f"{ROOF_1},{ROOF_2},10,3")
    looked = look_over(Places.now())
    assert (len(looked.keys), looked.minutes.shape) == (4, (2, 2))


def test_ways_when_looked_over_then_what_lacks_and_what_is_doubtful(jo: Person) -> None:
    bring(
        f"{ROOF_1},{ROOF_2},10,3", f"{ROOF_2},{ROOF_1},14,3",  # 4 min and 40 % apart
        f"{ROOF_1},{HOME},10,3", f"{HOME},{ROOF_1},12.4,3",  # 24 %
        f"{ROOF_2},{ROOF_3},10,3", f"{ROOF_1},{ROOF_3},30,3",  # over 2: 20
    )  # fmt: skip
    assert told_now() == [
        "6 of 12 ways among 4 places are on record.",
        "6 ways lack: planning estimates them by the great circle.",
        "There and back differ on one way by more than 25 % and 3 min:",
        "Roof of EF-1 to Roof of EF-2 10 min, back 14 min.",
        "One way is longer than over another place by more than 10 % and 3 min:",
        "Roof of EF-1 to Roof of EF-3: over Roof of EF-2 it would be 10 min less.",
    ]


# 0.02 degrees of a meridian of radius 6371 km are 2.22 km.
def test_distance_when_in_another_unit_than_its_heading_says_then_told(jo: Person) -> None:
    bring(f"{ROOF_1},{ROOF_3},5,0.003", f"{ROOF_3},{ROOF_1},5,2.3")
    assert told_now()[2:4] == [
        "One distance is shorter than the straight line; check its unit and its places:",
        "Roof of EF-1 to Roof of EF-3: 0.003 km, straight 2.22 km.",
    ]


def test_ways_when_forgotten_then_none_is_left(jo: Person) -> None:
    bring(f"{ROOF_1},{ROOF_2},10,3")
    assert forget_travel(by=None) == 1
    assert not TravelPlace.objects.exists()


@pytest.mark.parametrize("who", ["theo", "olga"])
def test_file_when_brought_by_who_does_not_plan_then_refused(
    who: str, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(PermissionDenied):
        import_travel_file(data=b"x", name="x", by=request.getfixturevalue(who), now=NOW)


def test_example_when_its_places_are_unknown_then_each_is_told(root: Any) -> None:
    data = (root / "fixtures/examples/travel.csv").read_bytes()
    report = import_travel_file(data=data, name="travel.csv", by=None, now=NOW)
    assert {said.seen for said in report.complaints} == {
        "base of Ruta Vennick", "Tannevale Toll House", "Tannevale Old Brewery",
    }  # fmt: skip


def test_command_when_run_then_tells_and_stores(
    jo: Person, tmp_path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "ways.csv"
    path.write_text(f"From,To,Minutes\n{ROOF_1},{ROOF_2},10\n")
    call_command("import_travel", str(path))
    assert "ways.csv: 1 ways added." in capsys.readouterr().out
    path.write_text(f"From,To,Minutes\nMars,{ROOF_2},10\n")
    with pytest.raises(CommandError, match="1 thing to put right; nothing was stored"):
        call_command("import_travel", str(path))
    with pytest.raises(CommandError, match="give a file, or --forget"):
        call_command("import_travel")
