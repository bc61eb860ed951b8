"""A fan's past as its sheet reads it from the record."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Machine
from schedules.round_sheet.records import read_records
from tests.schedules.fans import make_fan, walk

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 12, 8)


# Rule 1: completed is what the list of the machine then in place requires.
def test_looks_when_a_belt_drive_was_replaced_then_complete_by_the_list_of_their_machine() -> None:
    fan = make_fan()
    old = fan.machines.get()
    old.drive = "belt"
    old.save()
    walk(fan, "2026-06-01")
    old.removed_on = dt.date(2026, 7, 1)
    old.save()
    Machine.objects.create(fan=fan, drive="direct", installed_on=dt.date(2026, 7, 1))
    walk(fan, "2026-08-03")
    looks = read_records({fan.pk: DAY})[fan.pk].looks
    assert [look.is_complete for look in looks] == [False, True]
