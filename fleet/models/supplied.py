"""Fans that an owner buys for a position: ordered, arrived, who installs them."""

from __future__ import annotations

from django.db import models

from fleet.models.fans import Fan
from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet


class SuppliedFanQuerySet(OfOwnerQuerySet["SuppliedFan"]):
    """Fans that owners supply, by who may see them."""

    to_owner = "fan__site__owner"

    def standing(self) -> SuppliedFanQuerySet:
        """Those that nobody called off; whether one is installed, the record says."""
        return self.filter(withdrawn_on=None)


class SuppliedFan(PlainRow):
    """Another machine for a fan's position that its owner supplies.

    Nothing says here that it was installed or started up: that a replacement visit and a start-up
    check are on record does (``schedules.due.supplied``), and so the path closes itself.
    """

    class Installer(models.TextChoices):
        US = "us", "we"
        OTHERS = "others", "others"

    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="supplied")
    entered_on = models.DateField()
    what = models.CharField(max_length=120, blank=True, help_text="make and model, as ordered")
    supplier = models.CharField(max_length=120, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True)
    arrived_on = models.DateField(null=True, blank=True)
    kept_at = models.CharField(max_length=120, blank=True, help_text="where it lies until then")
    installer = models.CharField(max_length=6, blank=True, choices=Installer.choices)
    installer_name = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=250, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=250, blank=True)

    objects = SuppliedFanQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["entered_on", "pk"]
        constraints = [
            models.CheckConstraint(
                name="supplied_fan_arrives_after_it_was_ordered",
                condition=models.Q(ordered_on=None)
                | models.Q(arrived_on=None)
                | models.Q(arrived_on__gte=models.F("ordered_on")),
                violation_error_message="It arrived before it was ordered; mend one of the days.",
            ),
            models.CheckConstraint(
                name="supplied_fan_withdrawn_says_why",
                condition=models.Q(withdrawn_on=None) | ~models.Q(withdrawn_reason=""),
                violation_error_message="Say why it is called off.",
            ),
        ]

    def __str__(self) -> str:
        return f"fan for {self.fan}, supplied by its owner"
