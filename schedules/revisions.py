"""Raise a fan's revision whenever something it hangs on changes."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.db.models import F

from fleet.models import Fan
from schedules.models import DueState


def raise_revisions(fan_ids: Iterable[int]) -> None:
    """Give every fan a due row and mark it to be reckoned again."""
    touched = list(fan_ids)
    rows = DueState.objects.filter(fan__in=touched)
    with transaction.atomic(savepoint=False):
        # locked in one order by all: two records of the same fans never wait for each other
        known = set(rows.order_by("fan_id").select_for_update().values_list("fan_id", flat=True))
        rows.update(revision=F("revision") + 1)
        _add_rows([fan_id for fan_id in touched if fan_id not in known])


def _add_rows(missing: list[int]) -> None:
    """Fans without a due row get one, with the copied site and owner."""
    if missing:
        fans = Fan.objects.filter(pk__in=missing).values_list("pk", "site_id", "site__owner_id")
        rows = [DueState(fan_id=pk, site_id=site, owner_id=owner) for pk, site, owner in fans]
        DueState.objects.bulk_create(rows, ignore_conflicts=True)
