"""What was not reached is planned again the week after, with the attempts counted on its page."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from fleet.models import Fan
from schedules.due.reckoning import reckon_fleet
from schedules.models import PlanVersion
from schedules.rounds.services.planning import Search, plan_week
from schedules.rounds.services.publishing import publish_week
from tests.bookings.booked import planner
from tests.done.promises import missed
from tests.people import Person, signed_in
from tests.rounds.weeks import MONDAY, due_fan, park, plan, stop_at, stops, who

pytestmark = pytest.mark.django_db
WEEK = dt.timedelta(days=7)
SATURDAY = dt.datetime(2026, 12, 12, 18, tzinfo=dt.UTC)


@pytest.fixture
def shut(db: None) -> Fan:
    """A fan planned for the week of 7 December that was not reached for want of access."""
    fan = due_fan(1)
    park()
    plan()
    publish_week(who(1))
    missed(fan, stop_at(fan).round.day)
    reckon_fleet(now=SATURDAY, only_stale=False)
    plan_week(monday=MONDAY + WEEK, by=planner(), now=SATURDAY, search=Search(iterations=30))
    return fan


def test_fan_when_not_reached_then_must_be_in_the_next_week(shut: Fan) -> None:
    version = PlanVersion.objects.get(plan__monday=MONDAY + WEEK)
    (stop,) = stops(version)
    assert (stop.site_id, stop.why, {work.fan_id for work in stop.fans.all()}) == (
        shut.site_id, "overdue", {shut.pk},
    )  # fmt: skip


def test_stop_when_it_is_another_attempt_then_its_line_says_so(
    shut: Fan, dana: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timezone, "now", lambda: SATURDAY)
    page = signed_in(dana).get("/week/2026-W51/").content.decode()
    assert "EF-1: Second attempt; not reached on Mon 7 Dec: no access." in page
