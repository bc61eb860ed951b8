"""Raise a fan's revision whenever something it hangs on changes."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F

from fleet.models import Fan
from schedules.models import DueState


def raise_revisions(fan_ids: Iterable[int]) -> None:
    """Give every fan a due row and mark it to be reckoned again."""
    touched = list(fan_ids)
    DueState.objects.filter(fan__in=touched).update(revision=F("revision") + 1)
    _add_missing_rows(touched)


def _add_missing_rows(fan_ids: list[int]) -> None:
    """Fans without a due row get one; also keeps the copied site and owner right."""
    known = set(DueState.objects.filter(fan__in=fan_ids).values_list("fan_id", flat=True))
    missing = [fan_id for fan_id in fan_ids if fan_id not in known]
    if missing:
        fans = Fan.objects.filter(pk__in=missing).values_list("pk", "site_id", "site__owner_id")
        rows = [DueState(fan_id=pk, site_id=site, owner_id=owner) for pk, site, owner in fans]
        DueState.objects.bulk_create(rows, ignore_conflicts=True)
