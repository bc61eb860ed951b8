"""Running hours against the time zone database, hours worked by hand, and minutes counted out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import accumulate
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.engine import running_hours
from schedules.engine.calendar_hours import HoursTable
from schedules.engine.errors import CalendarError, SeriesError
from schedules.engine.record import Calendar, CalendarPeriod
from tests.engine.fans import day
from tests.engine.given import case

NEW_YORK = "America/New_York"
ALWAYS = CalendarPeriod(1, always=True)
NIGHTS = CalendarPeriod(1, (((1320, 1800),),) * 7)
LUNCH = CalendarPeriod(1, (((660, 840),),) * 5 + ((), ()))


def kitchen(
    *periods: CalendarPeriod, zone: str = NEW_YORK, closed: tuple[str, ...] = ()
) -> Calendar:
    return Calendar(zone, periods, tuple(day(each) for each in closed))


# CA-15, time zone database: 22:00 to 06:00 over both changes, and where clocks do not change.
@pytest.mark.parametrize("which", [0, 1, 2])
def test_running_hours_of_a_night_shift_then_true_elapsed_hours(which: int) -> None:
    inputs, expected = case("CA-15")
    shift = inputs["shifts"][which]
    begin, end = (datetime.fromisoformat(shift[key]) for key in ("start", "end"))
    found = running_hours(kitchen(ALWAYS), begin, end, shift["zone"])
    assert found == expected["hours"][which]


# The same hours as weekly spans past midnight: 6 + 2 h on an ordinary day, an hour less or more on
# the day of the change.
@pytest.mark.parametrize(
    ("first", "hours"), [("2025-03-08", 8), ("2025-03-09", 7), ("2025-11-01", 8), ("2025-11-02", 9)]
)
def test_running_hours_of_nights_then_counted_on_the_day_they_fall(first: str, hours: int) -> None:
    assert running_hours(kitchen(NIGHTS), day(first), day(first) + 1) == hours


# CA-17: 8760 h in a year, 743 and 721 h in the months of the changes.
@pytest.mark.parametrize("which", [0, 1, 2])
def test_running_hours_of_a_kitchen_that_never_stops_then_true_hours(which: int) -> None:
    inputs, expected = case("CA-17")
    first, end = (day(each) for each in inputs["periods"][which])
    found = running_hours(kitchen(ALWAYS), first, end, inputs["zone"])
    assert found == expected["hours"][which]


# 2025-07-04 is a Friday: its evening does not begin, its small hours belong to Thursday.
def test_running_hours_on_a_closed_day_then_only_the_night_before_runs_out() -> None:
    calendar = kitchen(NIGHTS, closed=("2025-07-04",))
    found = [running_hours(calendar, day("2025-07-04") + i, day("2025-07-05") + i) for i in (0, 1)]
    assert found == [6, 2]


def test_running_hours_when_opening_hours_change_then_each_while_valid() -> None:
    later = CalendarPeriod(day("2025-07-02"), ALWAYS.spans, always=True)
    assert running_hours(kitchen(LUNCH, later), day("2025-07-01"), day("2025-07-03")) == 3 + 24


def test_running_hours_before_the_first_period_then_that_one_counts() -> None:
    calendar = kitchen(CalendarPeriod(day("2025-07-02"), LUNCH.spans))
    assert running_hours(calendar, day("2025-06-02"), day("2025-06-09")) == 15


def test_running_hours_when_spans_overlap_then_run_once() -> None:
    calendar = kitchen(CalendarPeriod(1, (((600, 900), (840, 960)),) * 7))
    assert running_hours(calendar, day("2025-07-02"), day("2025-07-03")) == 6


def test_running_hours_to_the_second_half_past_one_then_the_hour_more() -> None:
    begin, again = datetime(2025, 11, 2, 0, 30), datetime(2025, 11, 2, 1, 30, fold=1)  # noqa: DTZ001
    assert running_hours(kitchen(ALWAYS), begin, again) == 2


def test_running_hours_between_instants_of_another_zone_then_by_the_kitchens_wall() -> None:
    begin, end = datetime(2025, 7, 1, 16, tzinfo=UTC), datetime(2025, 7, 1, 20, tzinfo=UTC)
    assert running_hours(kitchen(LUNCH), begin, end) == 2  # noon to two of 11:00 to 14:00


def test_running_hours_of_many_days_then_as_each_alone() -> None:
    ends = day("2025-07-02") + np.arange(4)
    found = running_hours(kitchen(LUNCH), day("2025-07-01"), ends)
    assert found.tolist() == [3, 6, 9, 12]


@pytest.mark.parametrize(
    ("calendar", "message"),
    [
        (kitchen(), "no period"),
        (kitchen(ALWAYS, zone="America/Nowhere"), "no time zone"),
        (kitchen(CalendarPeriod(1, (((600, 500),),) * 7)), "600 to 500"),
        (kitchen(CalendarPeriod(1, (((600, 2100),),) * 7)), "at most a day"),
        (kitchen(CalendarPeriod(1, (((1500, 1600),),) * 7)), "1500 to 1600"),
        (kitchen(CalendarPeriod(1, (((600, 900),),) * 6)), "6 weekdays"),
        (kitchen(ALWAYS, ALWAYS), "2 periods from day 1; give one"),
    ],
)
def test_running_hours_when_calendar_makes_no_sense_then_error_says_why(
    calendar: Calendar, message: str
) -> None:
    with pytest.raises(CalendarError, match=message):
        running_hours(calendar, day("2025-07-01"), day("2025-07-02"))


def test_running_hours_between_dates_then_error_asks_for_ordinals() -> None:
    with pytest.raises(SeriesError, match="ordinals"):
        running_hours(kitchen(ALWAYS), datetime(2025, 7, 1).date(), day("2025-07-02"))  # noqa: DTZ001


def test_hours_table_when_one_calendar_is_bad_then_the_rest_answer() -> None:
    table = HoursTable([kitchen(LUNCH), kitchen(), kitchen(ALWAYS)])
    found = table.hours_between([0, 1, 2, -1], day("2025-07-01"), day("2025-07-02"))
    np.testing.assert_array_equal(found, [3, np.nan, 24, np.nan])


def test_hours_table_when_one_calendar_is_bad_then_it_is_named() -> None:
    assert list(HoursTable([kitchen(LUNCH), kitchen()]).faults) == [1]


def test_hours_table_without_calendars_then_cannot_tell() -> None:
    assert np.isnan(HoursTable([]).run_out_day([-1], day("2025-07-01"), 10.0)).all()


# 3 h a day from Monday to Friday: worked by hand.  Monday is 2025-06-30.
@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (0.0, "2025-06-30"),
        (-4.0, "2025-06-30"),
        (3.0, "2025-06-30"),
        (3.1, "2025-07-01"),
        (15.0, "2025-07-04"),
        (15.01, "2025-07-07"),
        (30.0, "2025-07-11"),
        (30.000000001, "2025-07-11"),
    ],
)
def test_run_out_day_of_lunches_then_the_day_the_last_hour_ends(
    hours: float, expected: str
) -> None:
    found = HoursTable([kitchen(LUNCH)]).run_out_day([0], day("2025-06-30"), hours)
    assert found[0] == day(expected)


@pytest.mark.parametrize("hours", [1.0, 1e9, np.inf, np.nan])
def test_run_out_day_when_never_then_nan(hours: float) -> None:
    calendar = kitchen(CalendarPeriod(1)) if hours == 1.0 else kitchen(ALWAYS)
    assert np.isnan(HoursTable([calendar]).run_out_day([0], day("2025-06-30"), hours)[0])


def spans() -> st.SearchStrategy[tuple[tuple[int, int], ...]]:
    begin = st.integers(0, 1439)
    span = begin.flatmap(lambda b: st.tuples(st.just(b), st.integers(b + 1, b + 1440)))
    return st.lists(span, max_size=2).map(tuple)


@st.composite
def odd_calendars(draw: st.DrawFn) -> tuple[int, Calendar]:
    """Calendars about a clock change: two periods, closed days, spans anywhere."""
    zone = draw(st.sampled_from([NEW_YORK, "Australia/Lord_Howe", "America/Santiago", "UTC"]))
    first = day(draw(st.sampled_from(["2025-03-05", "2025-04-02", "2025-09-04", "2025-10-30"])))
    begins = sorted(draw(st.sets(st.integers(first, first + 8), min_size=1, max_size=2)))
    periods = (
        CalendarPeriod(begin, tuple(draw(st.tuples(*[spans()] * 7))), draw(st.booleans()))
        for begin in begins
    )
    closed = draw(st.sets(st.integers(first - 1, first + 9), max_size=2))
    return first, Calendar(zone, tuple(periods), tuple(sorted(closed)))


def minutes_run(calendar: Calendar, first: int, days: int) -> list[int]:
    """Every minute a span runs through, by zoneinfo, gathered under its local day."""
    zone = ZoneInfo(calendar.zone)
    run: set[int] = set()
    for number in range(first - 1, first + days):
        for begin, end in spans_on(calendar, number):
            midnight = datetime.fromordinal(number)
            instants = (
                (midnight + timedelta(minutes=m)).replace(tzinfo=zone).timestamp()
                for m in (begin, end)
            )
            run.update(range(*(int(instant) // 60 for instant in instants)))
    by_day = Counter(datetime.fromtimestamp(minute * 60, zone).toordinal() for minute in run)
    return [by_day[first + number] for number in range(days)]


def spans_on(calendar: Calendar, number: int) -> Iterator[tuple[int, int]]:
    begun = [period for period in calendar.periods if period.valid_from_day <= number]
    period = begun[-1] if begun else calendar.periods[0]
    if number not in calendar.closed_days:
        yield from ((0, 1440),) if period.always else period.spans[(number - 1) % 7]


@settings(max_examples=40, deadline=None)
@given(odd_calendars())
def test_hours_between_about_a_clock_change_then_minutes_counted_out(
    odd: tuple[int, Calendar],
) -> None:
    first, calendar = odd
    each = first + np.arange(10)
    found = HoursTable([calendar]).hours_between(np.zeros(10, int), each, each + 1)
    np.testing.assert_allclose(found * 60, minutes_run(calendar, first, 10))


@settings(max_examples=40, deadline=None)
@given(odd_calendars(), st.integers(1, 6000))
def test_run_out_day_about_a_clock_change_then_minutes_counted_out(
    odd: tuple[int, Calendar], minutes: int
) -> None:
    first, calendar = odd
    reached = list(accumulate(minutes_run(calendar, first, 10)))
    if reached[-1] < minutes:
        return
    expected = first + next(i for i, run in enumerate(reached) if run >= minutes)
    assert HoursTable([calendar]).run_out_day([0], first, minutes / 60)[0] == expected
