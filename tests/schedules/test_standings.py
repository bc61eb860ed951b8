"""Who is seen first: many fans at once stand as each would alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from fleet.models import Fan
from fleet.quantities import VERDICT_ORDER
from schedules.due.records import fan_records
from schedules.due.standings import standings
from schedules.engine.due import reckon_one
from tests.schedules.fans import NOW, make_fan, walk
from visits.models import Check

pytestmark = pytest.mark.django_db
TODAY = NOW.date()


@pytest.fixture
def fans() -> list[int]:
    """Seen long ago, lately, never, very often, with a broken hinge; all wait to be onboarded."""
    walked = {"EF-1": ["2025-01-07"], "EF-2": ["2026-06-01"], "EF-3": []}
    walked["EF-4"] = [
        f"2026-{month:02d}-{day:02d}" for month in range(1, 6) for day in range(1, 28)
    ]
    for tag, days in walked.items():
        fan = make_fan(tag)
        for day in days:
            walk(fan, day)
    walk(make_fan("EF-5"), "2026-06-01", {"hinge": "act"}, hinge="broken")
    Fan.objects.update(onboarding_on=TODAY + dt.timedelta(days=20))
    return list(Fan.objects.order_by("pk").values_list("pk", flat=True))


def test_standings_when_of_many_fans_then_as_each_reckoned_alone(fans: list[int]) -> None:
    alone = []
    for fan, build in fan_records(fans):
        free = reckon_one(replace(build(), onboarding_day=None)).overdue
        late = TODAY.toordinal() - free.overdue_after_day if free else 0
        alone.append((fan["id"], late))
    found = list(standings(fans, TODAY))
    assert [(standing.fan_id, standing.days_overdue) for standing in found] == alone


def test_standings_when_something_bad_is_open_then_its_verdict(fans: list[int]) -> None:
    worst = {standing.fan_id: standing.worst_verdict for standing in standings(fans, TODAY)}
    assert [worst[fan] for fan in fans] == [0, 0, 0, 0, VERDICT_ORDER["act"]]


def test_standings_when_one_record_cannot_be_read_then_the_others_stand(fans: list[int]) -> None:
    Check.objects.filter(fan=fans[0]).update(judged={"belt": ["no", "verdict"]})
    found = {standing.fan_id: standing.days_overdue for standing in standings(fans, TODAY)}
    assert ([*found], found[fans[1]] != 0) == (fans, True)
