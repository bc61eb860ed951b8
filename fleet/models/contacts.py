"""Whom to call at a site: the kitchen, whoever holds the keys of the roof."""

from __future__ import annotations

from django.db import models

from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet
from fleet.models.sites import Site


class SiteContactQuerySet(OfOwnerQuerySet["SiteContact"]):
    """Contacts by who may see them."""

    to_owner = "site__owner"


class SiteContact(PlainRow):
    """Somebody at a site, by what they are needed for."""

    class Duty(models.TextChoices):
        KITCHEN = "kitchen", "kitchen"
        KEYS = "keys", "keys of the roof"
        BUILDING = "building", "building"
        OTHER = "other", "other"

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="contacts")
    duty = models.CharField(max_length=8, choices=Duty.choices, default=Duty.KITCHEN)
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40)
    note = models.CharField(
        max_length=250, blank=True, help_text="hours, or what else whoever calls should know"
    )

    objects = SiteContactQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["site_id", "pk"]

    def __str__(self) -> str:
        return f"{self.name} ({self.get_duty_display()})"
