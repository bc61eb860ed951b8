"""Items that keep failing at one position, and what was said when such a pattern was closed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.conf import settings
from django.db import models

from fleet.failure_terms import is_known
from fleet.models import Fan
from fleet.models.seen import OfOwnerQuerySet
from visits.models import Visit
from visits.models.visits import superseded


class PatternQuerySet(OfOwnerQuerySet["Pattern"]):
    """Patterns by who may see them."""

    to_owner = "fan__site__owner"

    def open(self) -> PatternQuerySet:
        """Those nobody has closed."""
        return self.filter(state=Pattern.State.OPEN)

    def causes_closed_with(self, fan_id: int) -> Mapping[str, tuple[str, date]]:
        """By item of a fan's closed patterns: its cause, and when its newest failure was found.

        Those closed without a cause are left out; one statement.
        """
        closed = PatternClosing.objects.filter(
            pattern__in=self.filter(fan=fan_id, state=Pattern.State.CLOSED)
        ).order_by("closed_at", "pk")
        told = closed.values_list("pattern__item", "cause", "pattern__found_on")
        last = {item: (cause, found_on) for item, cause, found_on in told}
        return {item: each for item, each in last.items() if is_known(each[0])}

    def with_closings(self) -> PatternQuerySet:
        """With fan, site and owner, and with what each was closed with and by whom."""
        rows = self.select_related("fan__site__owner", "fan__system")
        told = PatternClosing.objects.annotate(was_corrected=superseded("visit"))
        told = told.prefetch_related("closed_by", "visit__technician")
        return rows.prefetch_related(models.Prefetch("closings", told))


class Pattern(models.Model):
    """One item of one fan that failed twice or more, in more than chance would leave.

    ``first_on`` and ``last_on`` are local days of failures as recorded, ``found_on`` that of the
    visit that found the newest.  ``figures`` hold the comparison with the fleet as it stood
    ``as_of`` that day, when the failures on record last changed; nothing here depends on today.
    """

    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"
        # the record it rested on was corrected
        LAPSED = "lapsed", "lapsed"

    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="patterns", db_index=False)
    item = models.CharField(max_length=40)
    state = models.CharField(max_length=6, choices=State.choices, default=State.OPEN)
    failures = models.PositiveSmallIntegerField()
    first_on = models.DateField()
    last_on = models.DateField()
    found_on = models.DateField()
    closest_days = models.PositiveIntegerField()
    again_soon = models.BooleanField()
    by_rate = models.BooleanField()
    figures = models.JSONField(default=dict)
    as_of = models.DateField()
    raised_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    objects = PatternQuerySet.as_manager()

    class Meta:
        ordering = ["-last_on", "-pk"]
        # read backwards by page and API: newest failure first
        indexes = [models.Index(fields=["last_on", "id"], name="pattern_in_order")]
        constraints = [
            models.UniqueConstraint(fields=["fan", "item"], name="pattern_one_per_fan_and_item"),
            models.CheckConstraint(
                name="pattern_of_two_failures_or_more", condition=models.Q(failures__gte=2)
            ),
            models.CheckConstraint(
                name="pattern_first_before_last",
                condition=models.Q(first_on__lte=models.F("last_on")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} of {self.fan_id}: {self.failures} failures"

    @property
    def is_open(self) -> bool:
        return self.state == self.State.OPEN

    def may_be_closed_by(self, person: Any) -> bool:
        """Those who plan close what stands open."""
        return bool(self.is_open and person.plans)


class PatternClosing(models.Model):
    """A pattern closed with a cause or a reason.

    ``visit`` is the one whose finding told the cause, if that closed it; ``closed_by`` then is who
    made or recorded it, nobody where the record names no account.  Neither stands where it lapsed.
    """

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="closings")
    closed_at = models.DateTimeField()
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    visit = models.ForeignKey(
        Visit, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    cause = models.CharField(max_length=250, blank=True)
    reason = models.CharField(max_length=250, blank=True)
    failures = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["closed_at", "id"]
        constraints = [
            models.CheckConstraint(
                name="pattern_closing_by_somebody_says_why",
                condition=models.Q(closed_by=None, visit=None, cause="", reason="")
                | models.Q(closed_by__isnull=False, visit=None) & ~models.Q(cause="", reason="")
                | models.Q(visit__isnull=False) & ~models.Q(cause=""),
            )
        ]

    def __str__(self) -> str:
        return f"{self.pattern_id} closed: {self.cause or self.reason or 'lapsed'}"

    @property
    def is_taken_back(self) -> bool:
        """Whether that visit was corrected since; asked for by ``with_closings``."""
        return bool(getattr(self, "was_corrected", False))
