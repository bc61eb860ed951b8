"""Jobs as one more doorway: each task calls the service its command calls."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from schedules.due.reckoning import reckon_fleet
from schedules.notices.sending import send_notices
from schedules.notices.writing import write_notices
from visits.services import sweep_photo_files


@shared_task
def reckon_changed_fans() -> int:
    """Reckon the fans touched since their last reckoning; how many were."""
    return reckon_fleet(now=timezone.now(), only_stale=True).fans


@shared_task
def reckon_all_fans() -> int:
    """Reckon every fan from what is on record; how many were."""
    return reckon_fleet(now=timezone.now(), only_stale=False).fans


@shared_task
def write_owed_notices() -> int:
    """Write down every email owed now; how many were."""
    return write_notices(now=timezone.now()).notices


@shared_task
def send_owed_notices() -> int:
    """Send what is owed; how many went."""
    return send_notices().sent


@shared_task
def sweep_photos() -> int:
    """Throw out files that no photo names; how many there were."""
    return sweep_photo_files(now=timezone.now())
