"""A pass beside somebody who edits the same fans: one waits for the other, never both."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, transaction

from schedules.due.reckoning import Report, reckon_fleet
from schedules.due.writing import MANY
from schedules.models import DueState
from schedules.revisions import raise_revisions
from tests.schedules.fans import NOW, make_fan, walk

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
WAITING = "SELECT count(*) FROM pg_locks WHERE NOT granted"


def wait_until_somebody_waits() -> None:
    end = time.monotonic() + 20
    with connection.cursor() as cursor:
        while time.monotonic() < end:
            cursor.execute(WAITING)
            if cursor.fetchone()[0]:
                return
            time.sleep(0.02)
    pytest.fail("nobody waited for the fan that is held")


def in_thread() -> Report:
    try:
        return reckon_fleet(now=NOW, only_stale=False)
    finally:
        connection.close()


def test_pass_when_a_fan_it_only_marks_is_held_then_no_other_is_held_meanwhile() -> None:
    fans = [make_fan(f"EF-{number}") for number in range(MANY + 2)]
    for fan in fans:
        walk(fan, "2026-03-02")
    reckon_fleet(now=NOW)
    first, *others = (fan.pk for fan in fans)
    # Others get another answer; the first is only marked, which used to come after them.
    DueState.objects.filter(fan__in=others).update(dates=None)
    raise_revisions([first])
    with ThreadPoolExecutor(1) as pool, transaction.atomic():
        raise_revisions([first])
        passing = pool.submit(in_thread)
        wait_until_somebody_waits()
        raise_revisions(others)
    assert passing.result().failed == 0
