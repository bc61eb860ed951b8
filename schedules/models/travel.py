"""Travel times somebody brought: between sites and technicians' bases, each way by itself."""

from __future__ import annotations

from django.db import models

from fleet.models import Person, Site


class TravelPlace(models.Model):
    """A site, or a technician's base, where it was when its ways were told.

    Ways of a place that has moved since hold no more.
    """

    site = models.OneToOneField(
        Site, null=True, on_delete=models.CASCADE, related_name="travel_place"
    )
    technician = models.OneToOneField(
        Person, null=True, on_delete=models.CASCADE, related_name="travel_place"
    )
    latitude = models.FloatField()
    longitude = models.FloatField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="travel_place_is_site_or_base",
                condition=models.Q(site__isnull=False, technician__isnull=True)
                | models.Q(site__isnull=True, technician__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return str(self.site) if self.site_id else f"base of {self.technician}"

    @property
    def key(self) -> tuple[str, int]:
        """What it is, and its id."""
        return ("site", self.site_id) if self.site_id else ("base", self.technician_id or 0)


class TravelTime(models.Model):
    """How long and how far it is from one place to another; back is a row of its own."""

    start = models.ForeignKey(TravelPlace, on_delete=models.CASCADE, related_name="ways_out")
    end = models.ForeignKey(TravelPlace, on_delete=models.CASCADE, related_name="ways_in")
    minutes = models.FloatField()
    metres = models.FloatField()
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["start_id", "end_id"]
        constraints = [
            models.UniqueConstraint(fields=["start", "end"], name="travel_time_once_each_way"),
            models.CheckConstraint(
                name="travel_time_not_negative",
                condition=models.Q(minutes__gte=0, metres__gte=0),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.start} to {self.end}: {self.minutes:g} min"
