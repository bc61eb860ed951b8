"""What a kitchen told of its fans without anybody on the roof: evidence, never an inspection."""

from __future__ import annotations

import uuid

from django.db import models

from fleet.models import Fan, OwnerLink


class RunningToldQuerySet(models.QuerySet["RunningTold"]):
    """Answers by who may see them."""

    def visible_to(self, person: object) -> RunningToldQuerySet:
        """All for the company's people, one owner's for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(fan__site__owner_id=getattr(person, "owner_id", None) or 0)


class RunningTold(models.Model):
    """Whether a fan runs, as somebody in the kitchen said; it settles nothing and moves no date.

    ``told_by`` is the name typed by whoever had the link; ``told_on`` the site's day.
    """

    class Answer(models.TextChoices):
        RUNNING = "running", "running"
        NOT_RUNNING = "not_running", "not running"
        CANNOT_TELL = "cannot_tell", "cannot tell"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="told_running")
    link = models.ForeignKey(OwnerLink, on_delete=models.PROTECT, related_name="told_running")
    answer = models.CharField(max_length=11, choices=Answer.choices)
    told_by = models.CharField(max_length=120)
    note = models.CharField(max_length=500, blank=True)
    told_on = models.DateField()
    received_at = models.DateTimeField()

    objects = RunningToldQuerySet.as_manager()

    class Meta:
        ordering = ["received_at", "id"]
        # read by lists and pages: what was told last of each fan
        indexes = [models.Index(fields=["fan", "received_at"], name="told_of_fan")]

    def __str__(self) -> str:
        return f"{self.fan_id} {self.answer} on {self.told_on}"
