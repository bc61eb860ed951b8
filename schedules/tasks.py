"""Jobs as one more doorway: each task calls the service its command calls."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from schedules.due.reckoning import reckon_fleet


@shared_task
def reckon_changed_fans() -> int:
    """Reckon the fans touched since their last reckoning; how many were."""
    return reckon_fleet(now=timezone.now(), only_stale=True).fans


@shared_task
def reckon_all_fans() -> int:
    """Reckon every fan from what is on record; how many were."""
    return reckon_fleet(now=timezone.now(), only_stale=False).fans
