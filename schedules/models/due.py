"""One stored answer per fan, its packed history, a log of what changed."""

from __future__ import annotations

from django.db import models

from fleet.models import Fan, Owner, Site
from fleet.quantities import VERDICT_ORDER
from schedules.engine.record import RULES

RULE_CHOICES = [(number, name) for number, name in enumerate(RULES) if name]


class DueStateQuerySet(models.QuerySet["DueState"]):
    """Questions lists and jobs ask of due rows."""

    def visible_to(self, person: object) -> DueStateQuerySet:
        """All for the company's people, one owner's for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(owner_id=getattr(person, "owner_id", None) or 0)

    def stale(self) -> DueStateQuerySet:
        """Fans touched since they were last reckoned."""
        return self.exclude(reckoned_revision=models.F("revision"))


class DueState(models.Model):
    """When a fan is due and overdue, by which rules; nothing here depends on today.

    ``dates`` packs every rule's answer with its arguments (schedules.due.answers reads it);
    ``worst_verdict``, ``fault`` and ``made_safe_on``, the day since which the fan is out of
    service, serve lists and letters.  ``revision`` rises with whatever touches the fan,
    ``reckoned_revision`` is the one the answer was reckoned from; of a fan in which the two differ
    ``touched_at`` is since when.
    """

    fan = models.OneToOneField(
        Fan, primary_key=True, on_delete=models.CASCADE, related_name="due_state"
    )
    # Found by the indexes below; one more each would be written with every date that moves.
    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="+", db_index=False)
    owner = models.ForeignKey(Owner, on_delete=models.CASCADE, related_name="+", db_index=False)
    due_on = models.DateField(null=True)
    due_rule = models.PositiveSmallIntegerField(null=True, choices=RULE_CHOICES)
    overdue_after = models.DateField(null=True)
    overdue_rule = models.PositiveSmallIntegerField(null=True, choices=RULE_CHOICES)
    not_before = models.DateField(null=True)
    dates = models.BinaryField(null=True)
    worst_verdict = models.PositiveSmallIntegerField(default=0)
    made_safe_on = models.DateField(null=True)
    fault = models.CharField(max_length=250, blank=True)
    revision = models.PositiveBigIntegerField(default=1)
    reckoned_revision = models.PositiveBigIntegerField(default=0)
    touched_at = models.DateTimeField(null=True)

    objects = DueStateQuerySet.as_manager()

    class Meta:
        ordering = ["due_on", "fan_id"]
        indexes = [
            # read by the due list, whole and by owner or site
            models.Index(fields=["due_on", "fan"], name="due_by_day"),
            models.Index(fields=["owner", "due_on", "fan"], name="due_by_owner_and_day"),
            models.Index(fields=["site", "due_on", "fan"], name="due_by_site_and_day"),
            # stops stand first in every section of a list
            models.Index(
                fields=["due_on", "fan"],
                condition=models.Q(worst_verdict=VERDICT_ORDER["stop"]),
                name="due_stops_by_day",
            ),
            # read by the letters on fans out of service, every half hour
            models.Index(
                fields=["fan"],
                condition=models.Q(made_safe_on__isnull=False),
                name="due_out_of_service",
            ),
            # read by the nightly pass
            models.Index(
                fields=["fan"],
                condition=~models.Q(reckoned_revision=models.F("revision")),
                name="due_stale",
            ),
        ]


class FanHistory(models.Model):
    """A fan's live facts at fixed width: a cache that may vanish and is rebuilt from the tables."""

    fan = models.OneToOneField(
        Fan, primary_key=True, on_delete=models.CASCADE, related_name="packed_history"
    )
    version = models.BigIntegerField()
    revision = models.PositiveBigIntegerField()
    row = models.BinaryField()


class DueChangeQuerySet(models.QuerySet["DueChange"]):
    """Changes by who may see them."""

    def visible_to(self, person: object) -> DueChangeQuerySet:
        """All for the company's people, one owner's for an owner's contact."""
        if getattr(person, "works_here", False):
            return self
        return self.filter(fan__site__owner_id=getattr(person, "owner_id", None) or 0)


class DueChange(models.Model):
    """What a reckoning changed, for "what is new since yesterday"."""

    fan = models.ForeignKey(Fan, on_delete=models.CASCADE, related_name="due_changes")
    changed_at = models.DateTimeField(db_index=True)
    due_on_before = models.DateField(null=True)
    due_on = models.DateField(null=True)
    due_rule_before = models.PositiveSmallIntegerField(null=True)
    due_rule = models.PositiveSmallIntegerField(null=True)

    objects = DueChangeQuerySet.as_manager()

    class Meta:
        ordering = ["-changed_at", "fan_id"]
