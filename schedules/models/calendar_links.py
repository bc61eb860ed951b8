"""Addresses under which calendar programs fetch what a technician is booked for."""

from __future__ import annotations

import uuid

from django.db import models

from fleet.models import Person


class CalendarLink(models.Model):
    """One technician's address; a new one takes its place, and ended it is gone.

    Of the words in it only their SHA-256 is kept.  ``told_sha256`` is that of the calendar as it
    was last fetched, ``told_at`` since when it reads so: what programs ask by whether it changed.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    technician = models.OneToOneField(
        Person, on_delete=models.CASCADE, related_name="calendar_link"
    )
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    fetched_on = models.DateField(null=True)
    told_sha256 = models.CharField(max_length=64, blank=True)
    told_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["made_at"]

    def __str__(self) -> str:
        return f"calendar of {self.technician}"
