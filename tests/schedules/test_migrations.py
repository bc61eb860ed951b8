"""What a migration does to rows that older code wrote."""

from __future__ import annotations

from importlib import import_module
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection

from schedules.models import DueChange
from tests.schedules.fans import make_fan
from tests.visits.roofs import NOW


@pytest.mark.django_db
def test_change_when_written_with_its_offset_then_found_by_its_instant_again() -> None:
    change = DueChange.objects.create(fan=make_fan("EF-1"), changed_at=NOW)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE schedules_duechange SET changed_at = '2026-06-15 12:00:00+00:00'")
    migration: Any = import_module("schedules.migrations.0005_changes_compare_as_written")
    migration.write_as_django_does(None, SimpleNamespace(connection=connection))
    assert DueChange.objects.filter(changed_at=NOW).get() == change
