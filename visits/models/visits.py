"""Visits: one person at one site, logged once, corrected only by a visit that supersedes."""

from __future__ import annotations

import uuid
from collections.abc import Iterable

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef

from fleet.models import Site


class VisitQuerySet(models.QuerySet["Visit"]):
    """Questions asked of visits."""

    def standing(self) -> VisitQuerySet:
        """Visits that no correction has superseded."""
        # PostgreSQL expects one row of a join that finds none, and would sort the whole table.
        return self.filter(~Exists(Visit.objects.order_by().filter(supersedes=OuterRef("pk"))))

    def visible_to(self, person: object) -> VisitQuerySet:
        """All for the company's people, one owner's for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(site__owner_id=getattr(person, "owner_id", None) or 0)


def superseded(visit: str) -> models.Exists:
    """Whether a correction has replaced the visit that a row names by that column.

    The planner knows what an EXISTS leaves over, while of the outer join that asks the same it
    expects no row at all, and a prepared statement then walks all visits there are.
    """
    return models.Exists(Visit.objects.filter(supersedes=models.OuterRef(visit)))


class Visit(models.Model):
    """A visit under its client's own UUID.

    ``local_on`` and ``local_minute`` are the site's day and minute it began (minute None where the
    record gives no time).  ``here`` is false for records that came with a first import.
    ``payload_sha256`` tells a repeated payload from another one under the same id.
    """

    class Kind(models.TextChoices):
        WALK_THROUGH = "walk_through", "walk-through"
        MAINTENANCE = "maintenance", "preventive maintenance"
        SERVICE_CALL = "service_call", "service call"
        REPLACEMENT = "replacement", "replacement"
        CODE_INSPECTION = "code_inspection", "code inspection"
        START_UP = "start_up", "start-up check"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=16, choices=Kind.choices)
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="visits")
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    local_on = models.DateField()
    local_minute = models.PositiveSmallIntegerField(null=True, blank=True)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    technician_name = models.CharField(max_length=120, blank=True)
    here = models.BooleanField(default=True)
    notes = models.TextField(blank=True)
    supersedes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="superseded_by"
    )
    correction_reason = models.CharField(max_length=250, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()
    payload_sha256 = models.CharField(max_length=64, db_index=False)

    objects = VisitQuerySet.as_manager()

    class Meta:
        ordering = ["-began_at", "id"]
        indexes = [
            models.Index(fields=["site", "-began_at"], name="visit_site_newest"),
            # read backwards by the API's list of all sites
            models.Index(fields=["began_at", "id"], name="visit_in_order"),
            # read by devices that ask for what is new
            models.Index(fields=["received_at", "id"], name="visit_as_received"),
        ]
        constraints = [
            models.CheckConstraint(
                name="visit_ends_after_it_begins",
                condition=models.Q(ended_at__isnull=True)
                | models.Q(ended_at__gte=models.F("began_at")),
            ),
            models.CheckConstraint(
                name="visit_local_minute_within_a_day",
                condition=models.Q(local_minute__isnull=True) | models.Q(local_minute__lt=1440),
            ),
            models.CheckConstraint(
                name="visit_correction_says_why",
                condition=models.Q(supersedes__isnull=True) | ~models.Q(correction_reason=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} on {self.local_on}"

    def and_those_corrected(self) -> list[uuid.UUID]:
        """Its id and those of the visits that it supersedes, however often corrected."""
        return list(with_those_corrected([self.pk]))


def with_those_corrected(visit_ids: Iterable[uuid.UUID]) -> dict[uuid.UUID, uuid.UUID]:
    """These visits and all that they supersede, each with the one of these that stands for it.

    One query for each time that one was corrected, and a last one.
    """
    found = {visit_id: visit_id for visit_id in visit_ids}
    newest = set(found)
    while newest:
        pairs = Visit.objects.filter(pk__in=newest, supersedes__isnull=False).order_by()
        before = {old: found[new] for new, old in pairs.values_list("pk", "supersedes") if old}
        found |= before
        newest = set(before)
    return found
