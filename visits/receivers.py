"""Listen to the register: a corrected plate or feed changes what earlier readings mean."""

from __future__ import annotations

from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver

from fleet.models import Feed, Machine
from visits.services import judge_again


@receiver([post_save, post_delete], sender=Machine)
@receiver([post_save, post_delete], sender=Feed)
def on_plate_or_feed(instance: Machine | Feed, created: bool = False, **_: object) -> None:
    """Judge the fan's checks again; bulk writes do so themselves, once for all their fans."""
    judge_again(fan_ids=[instance.fan_id])
