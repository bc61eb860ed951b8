"""Bookings: a technician to a site on a day, moved and withdrawn but never gone."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time, timedelta

from django.db import models

from fleet.models import Person, Site

DAY_MINUTES = 1440
KEPT = timedelta(days=28)
"""How long calendars show what is past; our choice."""


class BookingQuerySet(models.QuerySet["Booking"]):
    """Bookings by who may see them and whether they stand."""

    def visible_to(self, person: object) -> BookingQuerySet:
        """All for the company's people, one owner's standing ones for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        owner = getattr(person, "owner_id", None) or 0
        return self.standing().filter(site__owner_id=owner)

    def standing(self) -> BookingQuerySet:
        """Those that nobody has withdrawn."""
        return self.filter(withdrawn_at=None)

    def in_calendar_of(self, person: Person, today: date) -> BookingQuerySet:
        """What somebody's calendar program is told, withdrawn ones too: all from ``KEPT`` ago on.

        Nothing past is withdrawn, so whoever asks once in that time hears of each withdrawal.
        """
        rows = self.filter(technician=person, day__gte=today - KEPT)
        return rows.select_related("site").order_by("day", "from_minute", "id")


class Booking(models.Model):
    """One technician at one site on a local day, at local minutes or any time that day.

    ``until_minute`` at or before ``from_minute`` is on the next day.  ``id`` is the UID that
    calendars know it by and ``sequence`` rises with each change they must hear of, a withdrawal
    too (RFC 5545, 3.8.7.4).  Another technician is another booking: this one is then withdrawn.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    # Found by the indexes below.
    site = models.ForeignKey(
        Site, on_delete=models.PROTECT, related_name="bookings", db_index=False
    )
    technician = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="bookings", db_index=False
    )
    day = models.DateField()
    from_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    until_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    sequence = models.PositiveIntegerField(default=0)
    booked_at = models.DateTimeField()
    booked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=250, blank=True)

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["day", "from_minute", "id"]
        indexes = [
            # read by lists, letters and pages that ask who comes to a site
            models.Index(fields=["site", "day"], name="booking_site_day"),
            # read when somebody is booked, and by the letters of technicians
            models.Index(fields=["technician", "day"], name="booking_technician_day"),
            # read by the API's list of all, and by the letters of one evening
            models.Index(fields=["day", "id"], name="booking_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                name="booking_times_both_or_neither_within_a_day",
                condition=models.Q(from_minute=None, until_minute=None)
                | models.Q(
                    from_minute__isnull=False,
                    from_minute__lt=DAY_MINUTES,
                    until_minute__isnull=False,
                    until_minute__lte=DAY_MINUTES,
                ),
            ),
            models.CheckConstraint(
                name="booking_withdrawn_says_why",
                condition=models.Q(withdrawn_at=None, withdrawn_reason="")
                | (models.Q(withdrawn_at__isnull=False) & ~models.Q(withdrawn_reason="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.technician} at {self.site} on {self.day}"

    @property
    def hours(self) -> tuple[datetime, datetime] | None:
        """From when until when, by the site's clock; None for any time that day."""
        if self.from_minute is None or self.until_minute is None:
            return None
        ends_on = self.day
        if self.until_minute <= self.from_minute:
            ends_on += timedelta(days=1)
        return self._at(self.day, self.from_minute), self._at(ends_on, self.until_minute)

    def _at(self, day: date, minute: int) -> datetime:
        days, minute = divmod(minute, DAY_MINUTES)
        clock = time(*divmod(minute, 60))
        return datetime.combine(day + timedelta(days=days), clock, self.site.zone)
