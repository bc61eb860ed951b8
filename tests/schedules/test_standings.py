"""Who is seen first: many fans at once stand as each would alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from fleet.models import Fan
from fleet.services.onboarding import Standing
from schedules.due.records import fan_records
from schedules.due.standings import standings
from schedules.engine.due import reckon_one
from tests.schedules.fans import NOW, make_fan, walk
from visits.models import Check

pytestmark = pytest.mark.django_db
TODAY = NOW.date()


@pytest.fixture
def fans() -> list[int]:
    """Seen long ago, seen lately, never seen, seen very often; all wait for an onboarding day."""
    walked = {"EF-1": ["2025-01-07"], "EF-2": ["2026-06-01"], "EF-3": []}
    walked["EF-4"] = [
        f"2026-{month:02d}-{day:02d}" for month in range(1, 6) for day in range(1, 28)
    ]
    for tag, days in walked.items():
        fan = make_fan(tag)
        for day in days:
            walk(fan, day)
    Fan.objects.update(onboarding_on=TODAY + dt.timedelta(days=20))
    return list(Fan.objects.order_by("pk").values_list("pk", flat=True))


def test_standings_when_of_many_fans_then_as_each_reckoned_alone(fans: list[int]) -> None:
    alone = []
    for fan, build in fan_records(fans):
        free = reckon_one(replace(build(), onboarding_day=None)).overdue
        late = TODAY.toordinal() - free.overdue_after_day if free else 0
        alone.append(Standing(fan["id"], 0, late))
    assert list(standings(fans, TODAY)) == alone


def test_standings_when_one_record_cannot_be_read_then_the_others_stand(fans: list[int]) -> None:
    Check.objects.filter(fan=fans[0]).update(judged={"belt": ["no", "verdict"]})
    found = {standing.fan_id: standing.days_overdue for standing in standings(fans, TODAY)}
    assert ([*found], found[fans[1]] != 0) == (fans, True)
