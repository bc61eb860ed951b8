"""Nameplates read on visits, with what the register made of them."""

from __future__ import annotations

from django.db import models

from fleet.models import Fan, Machine
from visits.models.visits import Visit


class PlateReading(models.Model):
    """What was ``read`` on a machine's plate, as sent, and what became of it, by plate field.

    ``filled`` went into the register; ``differs`` holds what stood there and what was read,
    ``refused`` what was read and why it cannot be so.  ``another`` says that the serial number read
    is not that of the machine on record: nothing was filled.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="plates")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="plate_readings")
    machine = models.ForeignKey(
        Machine, null=True, blank=True, on_delete=models.PROTECT, related_name="readings"
    )
    read = models.JSONField()
    filled = models.JSONField(default=dict)
    differs = models.JSONField(default=dict)
    refused = models.JSONField(default=dict)
    another = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "fan"], name="plate_read_once_per_visit")
        ]
