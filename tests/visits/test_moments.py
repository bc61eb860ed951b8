"""Days and moments by a site's clock."""

from __future__ import annotations

from datetime import UTC, date
from zoneinfo import ZoneInfo

import pytest

from visits.payload.moments import Local, UnreadableError, read_day, read_moment

CHICAGO = ZoneInfo("America/Chicago")


def at_chicago(text: str) -> Local:
    """The moment a text names, in Chicago."""
    moment = read_moment(text)
    assert moment
    return moment.at(CHICAGO)


@pytest.mark.parametrize(
    ("text", "on", "minute", "hour_utc"),
    [
        ("2026-03-02", date(2026, 3, 2), None, 6),
        ("2026-03-02T09:10", date(2026, 3, 2), 550, 15),
        ("2026-03-02T09:10-06:00", date(2026, 3, 2), 550, 15),
        # one instant, another local day: 04:00 UTC is still the evening before in Chicago
        ("2026-03-03T04:00Z", date(2026, 3, 2), 1320, 4),
        # daylight time from the second Sunday in March (US Energy Policy Act of 2005)
        ("2026-03-08T12:00", date(2026, 3, 8), 720, 17),
    ],
)
def test_moment_when_placed_then_local_day_minute_and_instant(
    text: str, on: date, minute: int | None, hour_utc: int
) -> None:
    local = at_chicago(text)
    assert (local.on, local.minute, local.at.astimezone(UTC).hour) == (on, minute, hour_utc)


@pytest.mark.parametrize(
    ("text", "since", "utc"),
    [
        # 01:00 to 02:00 comes twice on 1 November 2026: IANA time zone database, rule US.
        ("2026-11-01T01:10", None, "06:10"),
        ("2026-11-01T01:10", "2026-11-01T01:05-05:00", "06:10"),
        ("2026-11-01T01:10", "2026-11-01T01:50-05:00", "07:10"),
        ("2026-11-01T01:10-05:00", "2026-11-01T01:50-05:00", "06:10"),
        ("2026-11-02T01:10", "2026-11-02T01:50-06:00", "07:10"),
    ],
)
def test_moment_when_clocks_give_it_twice_then_the_first_that_is_not_before(
    text: str, since: str | None, utc: str
) -> None:
    earlier = at_chicago(since).at if since else None
    assert f"{read_moment(text).at(CHICAGO, earlier).at:%H:%M %Z}" == f"{utc} UTC"


@pytest.mark.parametrize(
    ("text", "exists"),
    [
        ("2026-03-08T02:30", False),
        ("2026-03-08T03:00", True),
        ("2026-03-08T01:59", True),
        ("2026-11-01T01:30", True),
        ("2026-03-08T02:30-06:00", True),
        ("2026-03-08", True),
    ],
)
def test_moment_when_clocks_skip_it_then_told(text: str, exists: bool) -> None:
    moment = read_moment(text)
    assert moment
    assert moment.exists_at(CHICAGO) is exists


DAY = "write it as 2026-03-02"
MOMENT = "write 2026-03-02T09:10-06:00, 2026-03-02T09:10 or 2026-03-02"
YEAR = "check the year: 1950 to 2200 are taken"


@pytest.mark.parametrize(
    ("text", "problem", "remedy"),
    [
        # 2026 is no leap year
        ("2026-02-29", "%(name)s is a day that no calendar has", f"check month and day, and {DAY}"),
        ("2026-13-01", "%(name)s is a day that no calendar has", f"check month and day, and {DAY}"),
        ("0001-01-01", "%(name)s lies in the year 1", YEAR),
        ("9999-12-31", "%(name)s lies in the year 9999", YEAR),
        ("26-02-01", "%(name)s is not a day", DAY),
        ("2026-2-1", "%(name)s is not a day", DAY),
        ("\u0662\u0660\u0662\u0666-02-01", "%(name)s is not a day", DAY),
        ("today", "%(name)s is not a day", DAY),
        ("20260201", "%(name)s is not a day", DAY),
    ],
)
def test_day_when_not_one_then_why_and_what_to_do(text: str, problem: str, remedy: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_day(text)
    assert (caught.value.problem, caught.value.remedy) == (problem, remedy)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("20260302", "%(name)s is not a day or time"),
        ("2026-W10", "%(name)s is not a day or time"),
        ("2026-03-02T", "%(name)s is not a day or time"),
        ("2026-03-02T09:10\0", "%(name)s is not a day or time"),
        ("2026-03-02T09:10Z\0", "%(name)s is not a day or time"),
        ("2026-03-02T09:10\0+01:00", "%(name)s is not a day or time"),
        ("2026-03-02T25:00", "%(name)s names no time of the day"),
        ("2026-03-02T09:10+99:00", "%(name)s names no time of the day"),
        ("2026-02-30T09:10", "%(name)s is a day that no calendar has"),
        ("9999-12-31T23:59-14:00", "%(name)s lies in the year 9999"),
        ("0001-01-01T00:00+14:00", "%(name)s lies in the year 1"),
    ],
)
def test_moment_when_not_one_then_why(text: str, problem: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_moment(text)
    assert caught.value.problem == problem
