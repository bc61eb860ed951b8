"""When somebody may be written to: working hours, weekends and public holidays where they are."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from fleet.models import Site
from schedules.notices.addressees import (
    is_waking_hour,
    is_working_day,
    is_working_hour,
    unknown_countries,
    working_day_from,
    working_days_after,
)
from tests.notices.letters import at, overdue_fan, told, write

# 5 U.S.C. 6103(a) names the days; (b) moves one on a Saturday to the Friday before.
FEDERAL = {
    "New Year's Day": "2026-01-01",
    "third Monday in January": "2026-01-19",
    "third Monday in February": "2026-02-16",
    "last Monday in May": "2026-05-25",
    "June 19": "2026-06-19",
    "July 4, a Saturday": "2026-07-03",
    "first Monday in September": "2026-09-07",
    "second Monday in October": "2026-10-12",
    "November 11": "2026-11-11",
    "fourth Thursday in November": "2026-11-26",
    "December 25": "2026-12-25",
    "January 1, 2028, a Saturday": "2027-12-31",
}
# The library holidays; one date of each against its law or published list, from memory.
ELSEWHERE = {
    "CA": "2026-07-01",  # Holidays Act, R.S.C. 1985, c. H-5: Canada Day
    "MX": "2026-09-16",  # Ley Federal del Trabajo, art. 74
    "GB": "2026-05-04",  # Banking and Financial Dealings Act 1971, list on gov.uk: early May
    "DE": "2026-05-25",  # Whit Monday, 50 days after Easter, 5 April 2026
    "FR": "2026-07-14",  # Code du travail, L3133-1
    "JP": "2026-04-29",  # Act on National Holidays: Showa Day
    "AU": "2026-01-26",  # Australia Day
}


@pytest.mark.parametrize("day", FEDERAL.values(), ids=FEDERAL)
def test_federal_holiday_then_nobody_works(day: str) -> None:
    assert not is_working_day(dt.date.fromisoformat(day), "US")


@pytest.mark.parametrize(("country", "day"), ELSEWHERE.items())
def test_holiday_of_a_country_then_is_its_own(country: str, day: str) -> None:
    on = dt.date.fromisoformat(day)
    assert (is_working_day(on, country), is_working_day(on, "ZZ")) == (False, True)


def test_weekend_then_as_the_country_has_it() -> None:
    # Saudi Arabia: Friday and Saturday (royal order of June 2013, from memory)
    friday, sunday = dt.date(2026, 6, 12), dt.date(2026, 6, 14)
    days = [(is_working_day(friday, code), is_working_day(sunday, code)) for code in ("US", "SA")]
    assert days == [(True, False), (False, True)]


@pytest.mark.parametrize(
    ("local", "works", "wakes"),
    [
        ("2026-06-15 06:59", False, False),
        ("2026-06-15 07:00", False, True),
        ("2026-06-15 07:59", False, True),
        ("2026-06-15 08:00", True, True),
        ("2026-06-15 16:59", True, True),
        ("2026-06-15 17:00", False, True),
        ("2026-06-15 20:59", False, True),
        ("2026-06-15 21:00", False, False),
        ("2026-06-13 10:00", False, True),
        ("2026-07-03 10:00", False, True),
    ],
)
def test_hours_then_of_work_and_of_waking(local: str, works: bool, wakes: bool) -> None:
    then = at(local)
    assert (is_working_hour(then, "US"), is_waking_hour(then)) == (works, wakes)


@pytest.mark.parametrize(
    ("on", "first"),
    [("2026-07-01", "2026-07-01"), ("2026-07-03", "2026-07-06"), ("2026-12-25", "2026-12-28")],
)
def test_working_day_from_a_holiday_or_weekend_then_the_next(on: str, first: str) -> None:
    assert working_day_from(dt.date.fromisoformat(on), "US").isoformat() == first


def test_working_days_between_then_without_the_holiday_and_the_weekend() -> None:
    # 1 July 2026 is a Wednesday: Thursday, Monday, Tuesday
    assert working_days_after(dt.date(2026, 7, 1), dt.date(2026, 7, 7), "US") == 3


@pytest.mark.django_db
def test_letter_on_a_holiday_then_the_day_after() -> None:
    overdue_fan()
    counts = [write(at(f"{day} 10:00")).notices for day in ("2026-07-03", "2026-07-06")]
    assert counts == [0, 1]


@pytest.mark.django_db
def test_letter_when_the_country_is_unknown_then_goes_and_the_country_is_told() -> None:
    overdue_fan(country="ZZ")
    report = write(at("2026-07-03 10:00"))
    assert (report.notices, report.unknown_countries, unknown_countries()) == (1, ["ZZ"], ["ZZ"])


@pytest.mark.django_db
def test_letter_then_by_the_clock_and_holidays_of_the_owners_first_site() -> None:
    overdue_fan(time_zone="Europe/Berlin", country="DE")
    Site.objects.update(name="A first one")
    # Whit Monday in Germany, Memorial Day in the US; then Tuesday 8:00 in Berlin, 1:00 in Chicago
    berlin = dt.datetime(2026, 5, 26, 8, tzinfo=ZoneInfo("Europe/Berlin"))
    counts = [write(berlin - dt.timedelta(days=1)).notices, write(berlin).notices]
    assert (counts, told("overdue")[0].period) == ([0, 1], "2026-W22")
