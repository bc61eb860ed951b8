"""Exhaust systems: hoods and duct served together, what cooks under them and when."""

from __future__ import annotations

from django.db import models

from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet
from fleet.models.sites import Site

COOKING_CLASSES = ("solid_fuel", "high", "moderate", "low")


class ExhaustSystemQuerySet(OfOwnerQuerySet["ExhaustSystem"]):
    """Exhaust systems by who may see them."""

    to_owner = "site__owner"


class ExhaustSystem(PlainRow):
    """One duct system; the strictest cooking class under it counts."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="systems")
    name = models.CharField(max_length=80)
    make_up_air_interlock = models.BooleanField(null=True, blank=True)
    fire_system_interlock = models.BooleanField(null=True, blank=True)
    cleaning_crew = models.CharField(max_length=120, blank=True)
    notes = models.TextField(blank=True)

    objects = ExhaustSystemQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["site_id", "name"]
        constraints = [
            models.UniqueConstraint(fields=["site", "name"], name="system_one_name_per_site")
        ]

    def __str__(self) -> str:
        return f"{self.site}: {self.name}"


class CookingPeriod(PlainRow):
    """Cooking classes in force from a day."""

    system = models.ForeignKey(ExhaustSystem, on_delete=models.CASCADE, related_name="cooking")
    valid_from = models.DateField()
    classes = models.JSONField(default=list)

    class Meta:
        ordering = ["valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["system", "valid_from"], name="cooking_one_per_day")
        ]


class OperatingPeriod(PlainRow):
    """Weekly running hours from a day: seven lists of ``[start, end]`` minutes, Monday first.

    An end past 1,440 is the next day; ``always`` is a kitchen that says it never stops.
    """

    system = models.ForeignKey(ExhaustSystem, on_delete=models.CASCADE, related_name="operating")
    valid_from = models.DateField()
    spans = models.JSONField(default=list)
    always = models.BooleanField(default=False)

    class Meta:
        ordering = ["valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["system", "valid_from"], name="operating_one_per_day")
        ]


class ClosedDay(PlainRow):
    """A day on which the kitchen does not cook."""

    system = models.ForeignKey(ExhaustSystem, on_delete=models.CASCADE, related_name="closed_days")
    day = models.DateField()

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["system", "day"], name="closed_day_once_per_system")
        ]


class ExpectedCleaning(PlainRow):
    """A hood cleaning somebody has announced."""

    system = models.ForeignKey(
        ExhaustSystem, on_delete=models.CASCADE, related_name="expected_cleanings"
    )
    day = models.DateField()
    crew = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                fields=["system", "day"], name="expected_cleaning_once_per_system"
            )
        ]
