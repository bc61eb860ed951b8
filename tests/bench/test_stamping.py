"""A sample put down again: as many fans as wanted, each copy's records about its own."""

from __future__ import annotations

import pytest

from fleet.models import ExhaustSystem, Fan, Machine, Owner, Site
from schedules.bench.stamping import stamp_out
from schedules.models import DueState
from tests.schedules.fans import make_fan, walk
from visits.models import Check, Visit

pytestmark = pytest.mark.django_db
TABLES = (Owner, Site, ExhaustSystem, Fan, Machine, Visit, Check, DueState)


def test_sample_when_stamped_out_then_each_copy_is_about_itself() -> None:
    for tag in ("EF-1", "EF-2"):
        walk(make_fan(tag), "2026-06-01")
    stamp_out(TABLES, 3)
    assert [table.objects.count() for table in TABLES] == [4, 8, 8, 8, 8, 8, 8, 8]
    astray = [
        check
        for check in Check.objects.select_related("visit__site", "machine", "fan__system")
        if not (
            check.visit.site_id == check.fan.site_id == check.fan.system.site_id
            and check.machine.fan_id == check.fan_id
        )
    ]
    assert astray == []


def test_sample_when_stamped_out_then_the_next_row_has_a_key_of_its_own() -> None:
    walk(make_fan("EF-1"), "2026-06-01")
    stamp_out(TABLES, 2)
    assert make_fan("EF-9").pk > 3
