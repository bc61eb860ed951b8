"""Photos of a visit; the pictures themselves lie in the storage ``photos``."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models

from fleet.models import Fan
from visits.models.findings import Finding
from visits.models.visits import Visit


class PhotoQuerySet(models.QuerySet["Photo"]):
    """Questions asked of photos."""

    def standing(self) -> PhotoQuerySet:
        """Photos that nobody has taken out."""
        return self.filter(withdrawn_at=None)

    def visible_to(self, person: object) -> PhotoQuerySet:
        """All for the company's people, one owner's standing ones for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        owner = getattr(person, "owner_id", None) or 0
        return self.standing().filter(visit__site__owner_id=owner)

    def showable_to(self, person: object) -> PhotoQuerySet:
        """Photos whose picture may be looked at; of those taken out only by who plans."""
        visible = self.visible_to(person)
        return visible if getattr(person, "plans", False) else visible.standing()


class Photo(models.Model):
    """A photo under its client's own UUID, never edited; a mistaken one is taken out and says why.

    ``payload_sha256`` is of what was sent, picture and words; ``width``, ``height`` and ``bytes``
    are those of the picture kept, whose two files are named after ``stored_as``.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="photos")
    fan = models.ForeignKey(
        Fan, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )
    finding = models.ForeignKey(
        Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )
    subject = models.CharField(max_length=40, blank=True)
    caption = models.CharField(max_length=250, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()
    payload_sha256 = models.CharField(max_length=64)
    stored_as = models.CharField(max_length=60, unique=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    bytes = models.PositiveIntegerField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_reason = models.CharField(max_length=250, blank=True)

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "id"]
        # both are read backwards by the API's lists
        indexes = [
            models.Index(fields=["received_at", "id"], name="photo_in_order"),
            models.Index(fields=["fan", "received_at", "id"], name="photo_fan_in_order"),
        ]
        constraints = [
            models.CheckConstraint(
                name="photo_withdrawn_says_why",
                condition=models.Q(withdrawn_at=None, withdrawn_reason="")
                | (models.Q(withdrawn_at__isnull=False) & ~models.Q(withdrawn_reason="")),
            ),
            models.CheckConstraint(
                name="photo_about_names_its_fan",
                condition=models.Q(fan__isnull=False) | models.Q(finding=None, subject=""),
            ),
        ]

    def __str__(self) -> str:
        return f"photo of {self.visit_id}"

    def may_be_withdrawn_by(self, person: Any) -> bool:
        """Whoever sent it, and those who plan."""
        return bool(person.plans or self.recorded_by_id == person.pk)
