"""Why a planned stop was not made, as somebody gave it where no visit tells."""

from __future__ import annotations

import uuid

from django.db import models

from fleet.models import Person
from schedules.models.rounds import PlannedStop
from visits.models import NotReached


class StopReason(models.Model):
    """One word on one stop of a published version; the last one counts, none is taken back.

    ``on`` is the local day for which the stop was planned.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    stop = models.ForeignKey(PlannedStop, on_delete=models.PROTECT, related_name="reasons")
    on = models.DateField()
    reason = models.CharField(max_length=12, choices=[(r, r) for r in NotReached.REASONS])
    note = models.CharField(max_length=250, blank=True)
    given_at = models.DateTimeField()
    given_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["given_at", "id"]
        indexes = [
            # read every half hour: at whose sites there was no access lately
            models.Index(
                fields=["on"],
                condition=models.Q(reason="no_access"),
                name="stop_reason_no_access_by_day",
            )
        ]
        constraints = [
            models.CheckConstraint(
                name="stop_reason_other_says_which",
                condition=~models.Q(reason="other", note=""),
            )
        ]

    def __str__(self) -> str:
        return f"{self.reason} on {self.on}"
