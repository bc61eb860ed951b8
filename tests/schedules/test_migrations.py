"""What a migration does to rows that older code wrote."""

from __future__ import annotations

from importlib import import_module
from types import SimpleNamespace
from typing import Any

import pytest
from django.apps import apps
from django.db import connection

from schedules.due.reckoning import reckon_fleet
from schedules.models import DueChange, DueState
from tests.schedules.fans import make_fan, walk
from tests.visits.roofs import NOW
from visits.models import MadeSafe


@pytest.mark.django_db
def test_change_when_written_with_its_offset_then_found_by_its_instant_again() -> None:
    change = DueChange.objects.create(fan=make_fan("EF-1"), changed_at=NOW)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE schedules_duechange SET changed_at = '2026-06-15 12:00:00+00:00'")
    migration: Any = import_module("schedules.migrations.0005_changes_compare_as_written")
    migration.write_as_django_does(None, SimpleNamespace(connection=connection))
    assert DueChange.objects.filter(changed_at=NOW).get() == change


@pytest.mark.django_db
def test_fan_once_made_safe_when_migrated_then_reckoned_anew() -> None:
    made_safe, other = make_fan("EF-1"), make_fan("EF-2")
    visit = walk(made_safe, "2026-06-01").visit
    MadeSafe.objects.create(visit=visit, fan=made_safe, told="the chef")
    reckon_fleet(now=NOW, only_stale=False)
    DueState.objects.update(made_safe_on=None)
    migration: Any = import_module("schedules.migrations.0011_since_when_out_of_service")
    migration.reckon_anew(apps, None)
    assert list(DueState.objects.stale()) == [made_safe.due_state]
    reckon_fleet(now=NOW)
    told = dict(DueState.objects.values_list("fan", "made_safe_on"))
    assert told == {made_safe.pk: visit.local_on, other.pk: None}
