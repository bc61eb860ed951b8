"""Weeks that end with a clock change, on Sunday, in places that change and places that do not."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from pytest_django import Settings

from schedules.due.reckoning import reckon_fleet
from schedules.models import Booking
from schedules.rounds.services.editing import Who
from schedules.rounds.services.planning import Search, plan_week
from schedules.rounds.services.publishing import publish_week
from tests.bookings.booked import planner
from tests.rounds.weeks import due_fan, park

pytestmark = pytest.mark.django_db
SUNDAY_ALONE = [[]] * 6


def published(monday: dt.date, **site: Any) -> Booking:
    """What is booked of a week planned on the Friday before it."""
    now = dt.datetime.combine(monday - dt.timedelta(days=3), dt.time(12), dt.UTC)
    due_fan(1, **site)
    reckon_fleet(now=now, only_stale=True)
    told = plan_week(monday=monday, by=planner(), now=now, search=Search(iterations=30))
    publish_week(Who(monday, told.revision, planner(), now))
    return Booking.objects.get()


# tzdata: Chicago goes to summer time on 14 March 2027, Phoenix never does;
# Sydney leaves summer time on 4 April 2027, Brisbane has none
@pytest.mark.parametrize(
    ("office", "zone", "monday"),
    [
        ("America/Chicago", "America/Phoenix", dt.date(2027, 3, 8)),
        ("Australia/Sydney", "Australia/Brisbane", dt.date(2027, 3, 29)),
    ],
)
def test_site_whose_clock_stays_when_the_office_changes_then_booked_in_its_hours(
    settings: Settings, office: str, zone: str, monday: dt.date
) -> None:
    settings.OFFICE_TIME_ZONE = office
    park(hours=[*SUNDAY_ALONE, [[420, 930]]], reserve_minutes=0)
    booked = published(monday, time_zone=zone, roof_access_hours=[*SUNDAY_ALONE, [[600, 690]]])
    assert booked.day == monday + dt.timedelta(days=6)
    assert booked.from_minute is not None
    assert booked.until_minute is not None
    assert (booked.from_minute >= 600, booked.until_minute <= 690) == (True, True)
