"""Events between visits: hood cleanings, storms, power events, kitchen changes, breaker resets."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q

from fleet.models import ExhaustSystem, Fan, Site


class EventQuerySet(models.QuerySet["Event"]):
    """Questions asked of events."""

    def standing(self) -> EventQuerySet:
        """Events that no correction has superseded."""
        # PostgreSQL expects one row of a join that finds none, and would sort the whole table.
        return self.filter(~Exists(Event.objects.order_by().filter(supersedes=OuterRef("pk"))))

    def about(self, fan: Fan) -> EventQuerySet:
        """Events of the fan, its system, or its whole site."""
        whole_site = Q(fan=None) & (Q(system=None) | Q(system=fan.system_id))
        return self.filter(Q(fan=fan) | whole_site, site=fan.site_id)

    def visible_to(self, person: object) -> EventQuerySet:
        """All for the company's people, one owner's for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(site__owner_id=getattr(person, "owner_id", None) or 0)


class Event(models.Model):
    """Something that happened at a site, to one of its systems, or to one fan; days are local.

    The narrowest of ``fan``, ``system`` and ``site`` that is set says whom it touches.
    """

    KINDS = ("hood_cleaning", "storm", "power_event", "kitchen_change", "breaker_reset")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=16, choices=[(k, k) for k in KINDS])
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="events")
    system = models.ForeignKey(
        ExhaustSystem, null=True, blank=True, on_delete=models.PROTECT, related_name="events"
    )
    fan = models.ForeignKey(
        Fan, null=True, blank=True, on_delete=models.PROTECT, related_name="events"
    )
    started_on = models.DateField()
    started_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    ended_on = models.DateField()
    ended_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    crew = models.CharField(max_length=120, blank=True)
    tipped_fans = models.ManyToManyField(Fan, blank=True, related_name="tippings")
    # Places are those of fleet.quantities.GREASE_PLACES.
    places_cleaned = models.JSONField(default=list, blank=True)
    places_not_cleaned = models.JSONField(default=list, blank=True)
    wheel_cleaned = models.BooleanField(default=False)
    resets = models.PositiveSmallIntegerField(null=True, blank=True)
    running_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    correction_reason = models.CharField(max_length=250, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()
    payload_sha256 = models.CharField(max_length=64)

    objects = EventQuerySet.as_manager()

    class Meta:
        ordering = ["-ended_on", "id"]
        indexes = [
            models.Index(fields=["site", "-ended_on"], name="event_site_newest"),
            # read backwards by the API's list of all sites
            models.Index(fields=["ended_on", "id"], name="event_in_order"),
            # read by devices that ask for what is new
            models.Index(fields=["received_at", "id"], name="event_as_received"),
        ]
        constraints = [
            models.CheckConstraint(
                name="event_ends_after_it_starts",
                condition=Q(ended_on__gte=models.F("started_on")),
            ),
            models.CheckConstraint(
                name="event_correction_says_why",
                condition=Q(supersedes__isnull=True) | ~Q(correction_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} on {self.ended_on}"
