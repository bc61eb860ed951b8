"""Sites: an address with a roof, its zone, surroundings and the way up."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.models.history import keep_history
from fleet.models.owners import Owner
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet


def validate_time_zone(value: str) -> None:
    """Refuse a zone the machine does not know."""
    if value not in zoneinfo.available_timezones():
        raise ValidationError(
            f"{value!r} is not a time zone; give one such as America/Chicago.", code="zone"
        )


class SiteQuerySet(OfOwnerQuerySet["Site"]):
    """Sites by who may see them."""

    to_owner = "owner"

    def zones(self) -> set[str]:
        """Their time zones, each once: ordered by name, each would come with every site."""
        return set(self.order_by().values_list("time_zone", flat=True).distinct())


class Site(PlainRow):
    """One kitchen building; weekly hours as ``fleet.opening`` parses them."""

    class Surroundings(models.TextChoices):
        INLAND = "inland", "inland"
        COASTAL = "coastal", "coastal"
        CORROSIVE = "corrosive", "corrosive"

    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=120)
    address = models.CharField(max_length=250, blank=True)
    country = models.CharField(max_length=2, default="US")
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    time_zone = models.CharField(max_length=40, validators=[validate_time_zone])
    surroundings = models.CharField(
        max_length=9, choices=Surroundings.choices, default=Surroundings.INLAND
    )
    roof_access_hours = models.JSONField(null=True, blank=True)
    fan_stop_hours = models.JSONField(null=True, blank=True)
    access_minutes = models.PositiveSmallIntegerField(default=15)
    access_notes = models.TextField(blank=True)
    lift_notes = models.TextField(blank=True)
    # What waiting costs is reckoned with these; without them schedules.engine.waiting says.
    closed_hour_cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    closed_hours = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(2000)]
    )
    lapsed_week_cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    # Keep or replace is reckoned with these; without them schedules.engine.keeping says.
    repair_cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    replacement_cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(1)]
    )

    objects = SiteQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["owner", "name"], name="site_one_name_per_owner"),
            models.CheckConstraint(
                name="site_coordinates_both_or_neither_and_on_earth",
                condition=models.Q(latitude__isnull=True, longitude__isnull=True)
                | models.Q(latitude__range=(-90, 90), longitude__range=(-180, 180)),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def position(self) -> tuple[float, float] | None:
        """Latitude and longitude [degrees]; None where the register has none."""
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)
