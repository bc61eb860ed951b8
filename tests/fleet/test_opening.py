"""Weekly hours as people write them; the notation is our own, so no outside source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.opening import Opening, OpeningError, opening_text, parse_opening

TEN_TO_ELEVEN = [[600, 1380]]


def test_hours_by_day_range_then_each_day_has_its_span() -> None:
    hours = parse_opening("Mon-Sat 10:00-23:00; Sun 11-21")
    assert hours == Opening([TEN_TO_ELEVEN] * 6 + [[[660, 1260]]])


@pytest.mark.parametrize("text", ["Mon-Sat 10-23, Sun 11-21", "mon-sat 10am-11pm, sun 11a-9p"])
def test_hours_of_days_parted_by_a_comma_then_each_day_has_its_span(text: str) -> None:
    assert parse_opening(text) == Opening([TEN_TO_ELEVEN] * 6 + [[[660, 1260]]])


def test_hours_past_midnight_then_end_is_past_1440() -> None:
    assert parse_opening("Fri 18:00-02:00").spans[4] == [[1080, 1560]]


def test_hours_without_days_then_every_day() -> None:
    assert parse_opening("10am - 11 p.m.").spans == [TEN_TO_ELEVEN] * 7


def test_hours_of_two_spans_then_both_in_order() -> None:
    assert parse_opening("Mon 17:00-22:00, 11:00-14:00").spans[0] == [[660, 840], [1020, 1320]]


def test_hours_always_then_says_so() -> None:
    assert parse_opening("24/7") == Opening([[[0, 1440]]] * 7, always=True)


@pytest.mark.parametrize("named", ["Tues, Thurs", "tue & thu", "Tuesday and Thursday", "Tu/Th"])
def test_days_listed_in_usual_ways_then_understood(named: str) -> None:
    spans = parse_opening(f"{named} 10-23").spans
    assert [day for day in range(7) if spans[day]] == [1, 3]


def test_days_by_the_letters_that_are_one_day_only_then_understood() -> None:
    spans = parse_opening("M-W, F 10-23").spans
    assert [day for day in range(7) if spans[day]] == [0, 1, 2, 4]


def test_days_range_over_the_weekend_then_goes_round() -> None:
    spans = parse_opening("Fri-Mon 10-23").spans
    assert [day for day in range(7) if spans[day]] == [0, 4, 5, 6]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("9-5", "two ways"),
        ("9am-5", "two ways"),
        ("5-9pm", "two ways"),
        ("Mon 9-9am", "no span of time"),
        ("25-26", "no time of day"),
        ("9:75-10", "no time of day"),
        ("13pm-2pm", "no time"),
        ("Blursday 9-17", "names no day"),
        ("T 10-17", "names no day"),
        ("Mon", "no times"),
        ("Mon 9", "no span"),
        ("Mon 9-17; Mon 18-19", "told twice"),
        ("Mon 18:00-04:00; Tue 2:00-5:00", "runs into"),
        ("Sun 20:00-03:00; Mon 02:00-05:00", "runs into"),
    ],
)
def test_hours_that_cannot_be_then_the_part_is_named(text: str, problem: str) -> None:
    with pytest.raises(OpeningError, match=problem):
        parse_opening(text)


@st.composite
def weeks(draw: st.DrawFn) -> list[list[list[int]]]:
    """Weeks with at most one span a day that ends before the next day's begins."""
    start = draw(st.integers(300, 1100))
    ends = st.integers(start + 1, 1440 + 299)
    return [[[start, draw(ends)]] if draw(st.booleans()) else [] for _ in range(7)]


@given(weeks())
def test_hours_written_out_then_read_back_alike(spans: list[list[list[int]]]) -> None:
    assert parse_opening(opening_text(spans)).spans == spans
