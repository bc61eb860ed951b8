"""Charts laid out: lines broken where something new begins, words where nothing is covered."""

from __future__ import annotations

from datetime import date
from itertools import combinations

from django.template.loader import render_to_string
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from schedules.charts import Chart, Limit, Mark, Point, Series, TimeScale, draw
from schedules.charts.drawing import HEIGHT_PX, LETTER_SHARE, WORD_PX, place_marks

FIRST = 739_000
TIMES = TimeScale(FIRST, FIRST + 100)


def points(*values: float, apart: int = 10, **more: bool) -> list[Point]:
    return [
        Point(FIRST + n * apart, value, f"{value:g} A", **more) for n, value in enumerate(values)
    ]  # type: ignore[arg-type]


def chart(*series: Series, limits: tuple[Limit, ...] = ()) -> Chart:
    return Chart("Current", "A", series, limits)


def test_series_when_something_new_begins_then_its_line_breaks_before_that_day() -> None:
    runs = Series("", points(1, 2, 3, 4), breaks=[FIRST + 15, FIRST + 99]).runs()
    assert [[point.value for point in run] for run in runs] == [[1, 2], [3, 4]]


def test_series_when_it_breaks_on_the_day_of_a_reading_then_that_reading_is_new() -> None:
    runs = Series("", points(1, 2, 3), breaks=[FIRST + 10]).runs()
    assert [[point.value for point in run] for run in runs] == [[1], [2, 3]]


def test_series_when_the_machine_is_another_then_no_line_joins_the_two() -> None:
    machines = [(1, 7), (2, 7), (3, 8), (4, 8)]
    mixed = [Point(FIRST + 10, value, "", machine=machine) for value, machine in machines]
    runs = Series("", mixed).runs()
    assert [[point.value for point in run] for run in runs] == [[1, 2], [3, 4]]


def test_series_when_a_reading_is_loose_then_off_the_line_and_drawn_all_the_same() -> None:
    loose = Point(FIRST + 10, 9, "9 A", is_loose=True)
    first, last = Point(FIRST, 1, "1 A"), Point(FIRST + 20, 2, "2 A")
    drawn = draw(chart(Series("", [first, loose, last])), TIMES).series[0]
    assert (len(drawn.lines[0].split()), [each.kind for each in drawn.points]) == (
        2, ["", "loose", ""],
    )  # fmt: skip


def test_drawing_when_drawn_then_line_and_points_meet() -> None:
    drawn = draw(chart(Series("", points(0, 5))), TIMES).series[0]
    height = float(drawn.points[1].y)
    assert (drawn.lines, drawn.points[1].x) == ([f"0.0,{HEIGHT_PX} 100.0,{height}"], "10.00%")


def test_limits_when_far_above_all_then_only_the_nearest_is_drawn() -> None:
    limits = (Limit(6, "start-up"), Limit(9, "alarm"), Limit(11, "shutdown"))
    drawn = draw(chart(Series("", points(1, 2)), limits=limits), TIMES)
    assert [level.text for level in drawn.limits] == ["start-up"]


@given(st.lists(st.floats(0.5, 10), min_size=1, max_size=4, unique=True))
def test_limits_when_close_together_then_no_name_stands_on_another(values: list[float]) -> None:
    limits = tuple(Limit(value, f"{value:g}") for value in values)
    drawn = draw(chart(Series("", points(10)), limits=limits), TIMES)
    names = [(level.anchor, level.word_y) for level in drawn.limits]
    assert all(a != b or abs(y - z) >= WORD_PX for (a, y), (b, z) in combinations(names, 2))


def test_limits_when_points_crowd_on_one_name_then_all_stand_one_below_the_other() -> None:
    series = Series("", [Point(FIRST + day, 5 + day / 500, "") for day in range(70, 100, 5)])
    limits = (Limit(5.2, "stop"), Limit(3, "alarm"), Limit(1, "start-up"))
    drawn = draw(chart(series, limits=limits), TIMES)
    assert {level.anchor for level in drawn.limits} == {"start"}


def test_limits_when_points_crowd_on_the_right_then_named_on_the_left() -> None:
    series = Series("", [Point(FIRST + day, 5.9 + day / 500, "") for day in range(70, 100, 5)])
    drawn = draw(chart(series, limits=(Limit(6, "full load"),)), TIMES)
    assert drawn.limits[0].anchor == "start"


def test_marks_when_too_close_then_each_has_its_line_and_one_its_letter() -> None:
    near = 50 + int(LETTER_SHARE * 100) - 1
    letters = {50: "C", near: "S", 80: "M"}
    drawn = place_marks([Mark(FIRST + day, letter, "") for day, letter in letters.items()], TIMES)
    assert [mark.letter for mark in drawn] == ["C", "", "M"]


def test_marks_when_before_or_after_the_axis_then_not_drawn() -> None:
    assert place_marks([Mark(FIRST - 1, "C", ""), Mark(FIRST + 101, "C", "")], TIMES) == []


def test_steps_when_a_scale_has_words_then_each_level_is_named() -> None:
    steps = {0.0: "none", 1.0: "slight", 2.0: "strong"}
    drawn = draw(Chart("Felt", "", [Series("", points(0, 2))], steps=steps), TIMES)
    assert [(level.text, level.y) for level in drawn.values] == [
        ("none", 56.0), ("slight", 28.0), ("strong", 0.0),
    ]  # fmt: skip


def test_chart_when_shown_then_every_reading_stands_in_its_table() -> None:
    days = TimeScale(date(2026, 1, 1).toordinal(), date(2026, 6, 1).toordinal())
    series = Series("Leg A", [Point(days.first_day + 40, 2.8, "2.8 A", "within")])
    html = render_to_string("schedules/chart.html", {"drawing": draw(chart(series), days)})
    assert "<td>Tue 10 Feb 2026</td><td>2.8 A</td><td>within</td>" in html


def test_chart_when_language_writes_decimal_commas_then_places_keep_their_points() -> None:
    with translation.override("es"):
        drawn = draw(chart(Series("", points(1.5, 2.5))), TIMES)
        html = render_to_string("schedules/chart.html", {"drawing": drawn})
    assert f'y="{drawn.series[0].points[0].y}"' in html
