"""What came of a visit: work, advice and answers, what was not reached, made safe or inspected."""

from __future__ import annotations

import uuid
from operator import attrgetter

from django.conf import settings
from django.db import models

from fleet.models import ExhaustSystem, Fan, OwnerLink
from visits.models.visits import Visit


class Action(models.Model):
    """Something done to an item of a fan."""

    KINDS = (
        "adjusted", "cleaned", "repaired", "replaced", "temporary", "balanced", "speed_changed",
        "remounted", "regreased",
    )  # fmt: skip

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="actions")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="actions")
    kind = models.CharField(max_length=14, choices=[(k, k) for k in KINDS])
    item = models.CharField(max_length=40)
    part = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["id"]


class Recommendation(models.Model):
    """Advice to the owner on a subject, in words that hedge causes and are plain about limits."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="recommendations")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="recommendations")
    subject = models.CharField(max_length=40)
    text = models.TextField()
    cost = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)

    class Meta:
        ordering = ["visit", "id"]

    @property
    def answers(self) -> list[Decision]:
        """Everything said to it, a question included, in the order it came."""
        return sorted(self.decisions.all(), key=attrgetter("decided_on", "received_at", "pk"))

    @property
    def answer(self) -> Decision | None:
        """What counts: the last yes, no or not now; each replaces those before it."""
        return next((each for each in reversed(self.answers) if each.is_answer), None)


class Decision(models.Model):
    """The owner's answer, given on a visit or between visits (then with its payload's hash).

    Given by a ``link``, ``shown`` is the text the page showed, to the letter, and ``decided_by``
    the name that was typed: who had the link, not who it was.
    """

    class Answer(models.TextChoices):
        GO_AHEAD = "go_ahead", "go ahead"
        NOT_NOW = "not_now", "not now"
        DECLINED = "declined", "declined"
        QUESTION = "question", "a question"
        BY_LINK = "by_link", "asked for a link"

    OPEN = (Answer.QUESTION, Answer.BY_LINK)
    """What is said without answering: a letter with the link goes to whoever asked for one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="decisions")
    visit = models.ForeignKey(
        Visit, null=True, blank=True, on_delete=models.CASCADE, related_name="decisions"
    )
    recommendation = models.ForeignKey(
        Recommendation, null=True, blank=True, on_delete=models.CASCADE, related_name="decisions"
    )
    subject = models.CharField(max_length=40)
    answer = models.CharField(max_length=10, choices=Answer.choices)
    decided_on = models.DateField()
    not_before = models.DateField(null=True, blank=True)
    decided_by = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()
    payload_sha256 = models.CharField(max_length=64, blank=True)
    link = models.ForeignKey(
        OwnerLink, null=True, blank=True, on_delete=models.PROTECT, related_name="decisions"
    )
    shown = models.TextField(blank=True)

    class Meta:
        ordering = ["decided_on", "id"]

    @property
    def is_answer(self) -> bool:
        """Whether it answers; a question back does not, nor does asking for a link."""
        return self.answer not in self.OPEN

    @property
    def is_replaced(self) -> bool:
        """Whether a later answer to the same advice counts instead."""
        if self.recommendation is None or not self.is_answer:
            return False
        return self.recommendation.answer != self


class NotReached(models.Model):
    """A fan (``item`` empty) or one item of it that the visit did not reach, and why."""

    REASONS = ("no_access", "weather", "unsafe", "no_time", "parts", "not_stopped", "other")

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="not_reached")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="not_reached")
    item = models.CharField(max_length=40, blank=True)
    reason = models.CharField(max_length=12, choices=[(r, r) for r in REASONS])
    note = models.CharField(max_length=250, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [
            # read every half hour: at whose sites there was no access lately
            models.Index(
                fields=["visit"],
                condition=models.Q(reason="no_access", item=""),
                name="not_reached_no_access",
            )
        ]


class MadeSafe(models.Model):
    """A fan taken out of service: who was told, who holds the lock, what restarts it."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="made_safe")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="made_safe")
    told = models.CharField(max_length=120)
    lock_holder = models.CharField(max_length=120, blank=True)
    cook_line_stopped = models.BooleanField(null=True)
    restarts_when = models.CharField(max_length=250, blank=True)
    promised_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["id"]


class SystemInspection(models.Model):
    """A code inspection of one system; ``qualified`` as recorded of the person on that day."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="inspections")
    system = models.ForeignKey(ExhaustSystem, on_delete=models.PROTECT, related_name="inspections")
    qualified = models.BooleanField()
    areas_not_cleaned = models.TextField(blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "system"], name="inspection_once_per_visit")
        ]
