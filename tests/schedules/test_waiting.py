"""Fans waiting for their first visit, as old visits come in: the worst of all are seen first."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from fleet.models import Fan
from schedules import services
from schedules.models import DueState
from schedules.services import import_fleet_file, import_visit_file
from tests.fleet.sheets import PLAIN, csv_file

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)
TAGS = [f"S-{number}" for number in range(1, 13)]


def bring_fans(*tags: str, weeks: int = 6, now: dt.datetime = NOW) -> None:
    rows = [PLAIN | {"Tag": tag, "System": ""} for tag in tags]
    assert not import_fleet_file(
        data=csv_file(*rows), name="fans.csv", by=None, now=now, weeks=weeks
    ).refused


def bring_visit(tag: str, now: dt.datetime = NOW, *, here: bool = False, **seen: str) -> None:
    """An old visit to one fan, in a file of its own."""
    record = {
        "owner": PLAIN["Owner"], "site": PLAIN["Site"], "kind": "walk_through",
        "began_at": "2026-05-04T09:00", "checks": [{"fan": tag, "seen": seen}],
    }  # fmt: skip
    data = json.dumps(record).encode()
    report = import_visit_file(data=data, name="old.jsonl", by=None, now=now, here=here)
    assert not report.refused


def days() -> dict[str, dt.date]:
    return dict(Fan.objects.order_by("onboarding_on").values_list("tag", "onboarding_on"))


def test_visits_when_they_come_in_one_by_one_then_all_waiting_are_ordered() -> None:
    bring_fans(*TAGS)
    before = sorted(days().values())
    bring_visit("S-3", wheel="dirty")
    bring_visit("S-5", guard="off")
    bring_visit("S-7", hinge="sound")
    bring_visit("S-9", cable="damaged")
    after = days()
    assert ([*after][:3], sorted(after.values())) == (["S-5", "S-9", "S-3"], before)


def test_visits_when_they_come_weeks_later_then_no_day_leaves_the_weeks_chosen() -> None:
    bring_fans(*TAGS)
    last = max(days().values())
    later = NOW + dt.timedelta(days=17)
    passed = {tag: day for tag, day in days().items() if day <= later.date()}
    worst = [tag for tag in TAGS if tag not in passed][-1]
    bring_visit(worst, later, guard="off")
    after = days()
    waiting = {tag: day for tag, day in after.items() if day > later.date()}
    assert (min(waiting, key=lambda tag: waiting[tag]), max(waiting.values())) == (worst, last)
    assert passed.items() <= after.items()


def test_visits_when_fans_came_in_twice_then_each_import_keeps_its_weeks() -> None:
    bring_fans(*TAGS, weeks=2)
    first = set(days().values())
    bring_fans(*(f"T-{number}" for number in range(12)), now=NOW + dt.timedelta(days=1))
    bring_visit("T-3", NOW + dt.timedelta(days=1), guard="off")
    assert {day for tag, day in days().items() if tag in TAGS} == first


def test_visits_when_a_fan_was_seen_here_then_its_day_is_left_alone() -> None:
    bring_fans(*TAGS)
    last = [*days()][-1]
    bring_visit(last, guard="off", here=True)
    before = days()[last]
    bring_visit("S-3", guard="off")
    assert days()[last] == before


def test_visits_when_days_move_then_all_fans_whose_day_moved_are_reckoned() -> None:
    bring_fans(*TAGS)
    bring_visit([*days()][-1], guard="off")
    assert not DueState.objects.stale().exists()
    held = DueState.objects.exclude(worst_verdict=4).values_list("fan__tag", "due_on")
    assert all(days()[tag] == due_on for tag, due_on in held)


def test_visits_of_one_fan_when_many_wait_then_only_a_few_records_are_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bring_fans(*(f"S-{number}" for number in range(400)))
    reckoned: list[int] = []
    real = services.reckon_fans

    def counting(*, fan_ids: Any, **asked: Any) -> Any:
        reckoned.extend(fan_ids)
        return real(fan_ids=fan_ids, **asked)

    monkeypatch.setattr(services, "reckon_fans", counting)
    bring_visit([*days()][-1], guard="off")
    # 42 days: one fan comes first, so at most one of each later day moves to the next
    assert 1 < len(reckoned) <= 42
