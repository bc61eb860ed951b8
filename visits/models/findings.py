"""Findings a person wrote down, and the reasons with which they were closed."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from fleet.models import Fan, Machine
from visits.models.visits import Visit, superseded


class FindingQuerySet(models.QuerySet["Finding"]):
    """Questions asked of findings."""

    def standing(self) -> FindingQuerySet:
        """Those of visits that no correction has superseded."""
        return self.filter(~superseded("visit"))

    def losses(self) -> FindingQuerySet:
        """Losses of function that count: a call-back is the failure whose repair did not hold.

        One told twice is among them twice: ``visits.losses.once_each`` counts each once.
        """
        return self.standing().filter(loss_of_function=True, call_back=False)


class Finding(models.Model):
    """One fault in ISO 14224's terms: item, failure mode, mechanism, cause or not known.

    Verdicts open findings by themselves when dates are reckoned; this row is for what a person
    adds to them or saw without a reading.  ``subject`` ties it to what checks look at.
    """

    class Severity(models.TextChoices):
        INCIPIENT = "incipient", "incipient"
        DEGRADED = "degraded", "degraded"
        CRITICAL = "critical", "critical"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="findings")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="findings")
    machine = models.ForeignKey(Machine, null=True, blank=True, on_delete=models.PROTECT)
    subject = models.CharField(max_length=40)
    item = models.CharField(max_length=40)
    failure_mode = models.CharField(max_length=8, blank=True)
    mechanism = models.CharField(max_length=40, blank=True)
    cause = models.CharField(max_length=40, blank=True)
    severity = models.CharField(max_length=10, choices=Severity.choices)
    verdict = models.CharField(max_length=6)
    loss_of_function = models.BooleanField(default=False)
    lasting = models.BooleanField(default=False)
    call_back = models.BooleanField(default=False)
    failed_on = models.DateField(null=True, blank=True)
    recheck_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    objects = FindingQuerySet.as_manager()

    class Meta:
        ordering = ["visit", "id"]
        constraints = [
            models.CheckConstraint(
                name="finding_verdict_opens",
                condition=models.Q(verdict__in=("watch", "act", "stop")),
            ),
            models.CheckConstraint(
                name="finding_stop_is_never_lasting",
                condition=~models.Q(verdict="stop", lasting=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.verdict} on {self.item}"


class Closing(models.Model):
    """A finding closed with a reason, apart from any visit."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    finding = models.ForeignKey(Finding, on_delete=models.CASCADE, related_name="closings")
    closed_on = models.DateField()
    reason = models.CharField(max_length=250)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()
    payload_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["closed_on", "id"]
        constraints = [
            models.CheckConstraint(name="closing_has_a_reason", condition=~models.Q(reason=""))
        ]
