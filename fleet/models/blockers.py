"""What must be there before anybody goes to a roof: lift, crane, permit, second person, parts."""

from __future__ import annotations

from datetime import date

from django.core.exceptions import ValidationError
from django.db import models

from fleet.models.fans import Fan
from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet
from fleet.models.sites import Site


class BlockerQuerySet(OfOwnerQuerySet["Blocker"]):
    """Blockers by who may see them and when they hold."""

    to_owner = "site__owner"

    def standing(self, first_on: date, last_on: date) -> BlockerQuerySet:
        """Those that hold on at least one of these days."""
        uncleared = models.Q(cleared_on=None) | models.Q(cleared_on__gt=first_on)
        return self.filter(uncleared, since_on__lte=last_on)


class Blocker(PlainRow):
    """Something a visit waits for, at a site or for one fan on it.

    It holds from ``since_on`` on and no longer on ``cleared_on``, which may lie ahead: the day for
    which the lift is ordered.  Without that day nobody knows when.
    """

    class Kind(models.TextChoices):
        LIFT = "lift", "lift"
        CRANE = "crane", "crane"
        PERMIT = "permit", "permit"
        SECOND_PERSON = "second_person", "second person"
        PARTS = "parts", "parts not arrived"

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="blockers")
    fan = models.ForeignKey(
        Fan, null=True, blank=True, on_delete=models.CASCADE, related_name="blockers"
    )
    kind = models.CharField(max_length=13, choices=Kind.choices)
    note = models.CharField(max_length=250, blank=True)
    since_on = models.DateField()
    cleared_on = models.DateField(
        null=True, blank=True, help_text="the day from which it is there; it may lie ahead"
    )

    objects = BlockerQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["since_on", "pk"]
        constraints = [
            models.CheckConstraint(
                name="blocker_cleared_after_it_began",
                condition=models.Q(cleared_on=None)
                | models.Q(cleared_on__gte=models.F("since_on")),
                violation_error_message="It is cleared before it began; correct one of the days.",
            ),
            models.CheckConstraint(
                name="blocker_parts_are_for_a_fan",
                condition=~models.Q(kind="parts") | models.Q(fan__isnull=False),
                violation_error_message="Parts are for a fan; say which.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} for {self.fan or self.site}"

    def clean(self) -> None:
        """A fan stands on the site that is named."""
        super().clean()
        if self.fan is not None and self.site_id and self.fan.site_id != self.site_id:
            told = f"{self.fan} stands on another roof, {self.fan.site}; name a fan of this site."
            raise ValidationError({"fan": ValidationError(told, code="elsewhere")})
