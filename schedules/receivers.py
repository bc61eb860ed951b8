"""Listen to the register and the record: whatever touches a fan raises its revision."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Model
from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver

from fleet.models import (
    Agreement,
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Owner,
    Person,
    Site,
)
from fleet.signals import fans_touched
from schedules.models import CalendarLink, DueState
from schedules.revisions import raise_revisions

BY_FAN = (Machine, Feed)
BY_SYSTEM = (CookingPeriod, OperatingPeriod, ClosedDay, ExpectedCleaning)


@receiver(fans_touched)
def on_fans_touched(fan_ids: Iterable[int], **_: Any) -> None:
    """Bulk writes say themselves whom they touched."""
    raise_revisions(fan_ids)


def on_row_of_fan(instance: Any, **_: Any) -> None:
    """A machine or a feed touches its fan."""
    raise_revisions([instance.fan_id])


def on_row_of_system(instance: Any, **_: Any) -> None:
    """A calendar entry touches every fan of its system."""
    raise_revisions(_fans(system=instance.system_id))


@receiver(post_save, sender=Fan)
def on_fan(instance: Fan, **_: Any) -> None:
    """A fan moved to another site carries the copied columns along."""
    raise_revisions([instance.pk])
    DueState.objects.filter(fan=instance.pk).update(
        site_id=instance.site_id, owner_id=instance.site.owner_id
    )


@receiver(post_save, sender=Site)
def on_site(instance: Site, **_: Any) -> None:
    """Zone and surroundings touch every fan of the site."""
    raise_revisions(_fans(site=instance.pk))
    DueState.objects.filter(site=instance.pk).update(owner_id=instance.owner_id)


@receiver(post_save, sender=ExhaustSystem)
def on_system(instance: ExhaustSystem, **_: Any) -> None:
    """A system touches its fans."""
    raise_revisions(_fans(system=instance.pk))


@receiver([post_save, post_delete], sender=Agreement)
def on_agreement(instance: Agreement, **_: Any) -> None:
    """What was agreed touches all of an owner's fans."""
    raise_revisions(_fans(site__owner=instance.owner_id))


@receiver(post_save, sender=Owner)
def on_owner(instance: Owner, **_: Any) -> None:
    """An owner touches all its fans."""
    raise_revisions(_fans(site__owner=instance.pk))


@receiver(post_save, sender=Person)
def on_person(instance: Person, update_fields: Any = None, **_: Any) -> None:
    """Who leaves, or climbs no more, takes no calendar address along should they come back."""
    if update_fields and not {"is_active", "role"}.intersection(update_fields):
        return
    if not instance.is_active or instance.role != Person.Role.TECHNICIAN:
        CalendarLink.objects.filter(technician=instance.pk).delete()


def _fans(**condition: Any) -> list[int]:
    return list(Fan.objects.filter(**condition).values_list("pk", flat=True))


def _listen(models: Iterable[type[Model]], listener: Any) -> None:
    for model in models:
        for signal in (post_save, post_delete):
            signal.connect(
                listener, sender=model, dispatch_uid=f"{listener.__name__}-{model.__name__}"
            )


_listen(BY_FAN, on_row_of_fan)
_listen(BY_SYSTEM, on_row_of_system)
