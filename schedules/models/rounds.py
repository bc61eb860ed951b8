"""A week's plan in versions: the draft being worked on, and those published, which stay."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

from django.db import models

from fleet.models import Fan, Person, Site
from schedules.models.bookings import Booking
from schedules.weeks import iso_week

DRAFT = 0
"""The number of the version that is worked on; published ones count from 1."""


class WeekPlan(models.Model):
    """One ISO week's plan; whoever changes its draft holds this row.

    ``revision`` rises with each change of the draft: who changes it names the one they saw.
    """

    monday = models.DateField(unique=True)
    revision = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-monday"]
        constraints = [
            models.CheckConstraint(
                # Django counts Sunday as 1
                name="week_plan_begins_on_monday",
                condition=models.Q(monday__week_day=2),
            )
        ]

    def __str__(self) -> str:
        return iso_week(self.monday)

    @property
    def days(self) -> list[date]:
        """Monday to Sunday."""
        return [self.monday + timedelta(days=ahead) for ahead in range(7)]


class PlanVersion(models.Model):
    """The draft, whose ``number`` is 0, or a published version, which nothing changes any more.

    ``figures`` are the plan's sums, ``overload`` the required sites for which time is lacking and
    what would cure that, empty where all fit; both as ``schedules.rounds.storing`` writes them.
    """

    plan = models.ForeignKey(WeekPlan, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    figures = models.JSONField(default=dict)
    overload = models.JSONField(default=dict)
    # Bookings that were laid into it: one that is in no stop any more was taken out by somebody.
    known_bookings = models.JSONField(default=list)
    published_at = models.DateTimeField(null=True)
    published_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["plan_id", "number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "number"], name="plan_version_once"),
            models.CheckConstraint(
                name="plan_version_draft_or_published",
                condition=models.Q(number=DRAFT, published_at=None, published_by=None)
                | models.Q(number__gt=DRAFT, published_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan} version {self.number}" if self.number else f"{self.plan} draft"

    @property
    def known(self) -> frozenset[uuid.UUID]:
        """Ids of the bookings laid into it."""
        return frozenset(map(uuid.UUID, self.known_bookings))


class AskedPlan(models.Model):
    """That somebody asked for a week to be planned; ``done_at`` once that was tried.

    One row a week, the latest; ``fault`` says in a sentence why nothing could be planned.
    """

    plan = models.OneToOneField(WeekPlan, on_delete=models.CASCADE, related_name="asked")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    fresh = models.BooleanField(default=False)
    done_at = models.DateTimeField(null=True)
    fault = models.TextField(blank=True)

    class Meta:
        ordering = ["asked_at"]

    def __str__(self) -> str:
        return f"{self.plan} asked by {self.by}"


class PlannedRound(models.Model):
    """One technician's day: minutes are of that day by the office's clock.

    ``broken`` lists codes of what its whole breaks; ``published`` that technicians go by it.
    """

    version = models.ForeignKey(PlanVersion, on_delete=models.CASCADE, related_name="rounds")
    technician = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    day = models.DateField()
    leave_minute = models.PositiveSmallIntegerField()
    back_minute = models.PositiveSmallIntegerField()
    travel_minutes = models.PositiveIntegerField()
    travel_m = models.FloatField()
    overtime_minutes = models.PositiveSmallIntegerField(default=0)
    free_minutes = models.PositiveSmallIntegerField(default=0)
    cost = models.FloatField(default=0)
    published = models.BooleanField(default=False)
    broken = models.JSONField(default=list)

    class Meta:
        ordering = ["day", "technician_id"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "technician", "day"], name="planned_round_once_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.technician} on {self.day}"


class PlannedStop(models.Model):
    """One coming to one site; ``key`` stays with it through versions and edits.

    ``why`` is the engine's code of what puts it into this week; ``work_minutes`` are access and
    work, the rest of the time there is waiting.  ``booking`` is what stands for
    it, as ``booking_seen`` (its sequence); with ``keeps_hours`` those hours were given by hand.
    ``extra_minutes`` are booked for work beside that on its ``fans``.
    """

    round = models.ForeignKey(PlannedRound, on_delete=models.CASCADE, related_name="stops")
    key = models.UUIDField(default=uuid.uuid4)
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField()
    arrive_minute = models.PositiveSmallIntegerField()
    start_minute = models.PositiveSmallIntegerField()
    leave_minute = models.PositiveSmallIntegerField()
    work_minutes = models.PositiveSmallIntegerField()
    travel_minutes = models.PositiveIntegerField()
    travel_m = models.FloatField()
    why = models.CharField(max_length=20)
    pinned = models.BooleanField(default=False)
    prize = models.FloatField(default=0)
    detour_cost = models.FloatField(default=0)
    broken = models.JSONField(default=list)
    booking = models.ForeignKey(Booking, null=True, on_delete=models.SET_NULL, related_name="+")
    booking_seen = models.PositiveIntegerField(default=0)
    keeps_hours = models.BooleanField(default=False)
    extra_minutes = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["round_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["round", "position"], name="planned_stop_in_order"),
            models.UniqueConstraint(fields=["round", "key"], name="planned_stop_once"),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.site}"


class FanWork(models.Model):
    """What a visit is to do at one fan: the rules that ask for it, and the skill it takes, if any.

    ``rules`` are the rule numbers due, the earliest first; ``rule_args`` that rule's why, dates and
    numbers as they were when planned, as ``schedules.rounds.storing`` writes them.
    """

    fan = models.ForeignKey(Fan, on_delete=models.CASCADE, related_name="+")
    skill = models.CharField(max_length=20, blank=True)
    rules = models.JSONField(default=list)
    rule_args = models.JSONField(default=dict)

    class Meta:
        abstract = True


class StopFan(FanWork):
    """A fan's work at a stop; ``pulled_forward`` where it falls due only after the week."""

    stop = models.ForeignKey(PlannedStop, on_delete=models.CASCADE, related_name="fans")
    pulled_forward = models.BooleanField(default=False)
    made_necessary = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["stop", "fan", "skill"], name="stop_fan_once")
        ]


class LeftOutFan(FanWork):
    """A fan's due work that nobody does this week, and the code of why with its numbers."""

    version = models.ForeignKey(PlanVersion, on_delete=models.CASCADE, related_name="left_out")
    reason = models.CharField(max_length=20)
    required = models.BooleanField(default=False)
    args = models.JSONField(default=dict)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["version", "fan", "skill"], name="left_out_fan_once")
        ]


class PlanChange(models.Model):
    """What somebody did to the draft, under which revision, and how it stood before.

    ``before`` is the draft's rounds in short, from which undoing makes them anew; ``undone`` once
    that was done.  Only the latest are kept.
    """

    plan = models.ForeignKey(WeekPlan, on_delete=models.CASCADE, related_name="changes")
    revision = models.PositiveIntegerField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=20)
    args = models.JSONField(default=dict)
    before = models.JSONField(default=list)
    undone = models.BooleanField(default=False)

    class Meta:
        ordering = ["-revision"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "revision"], name="plan_change_once")
        ]

    def __str__(self) -> str:
        return f"{self.kind} by {self.by} on {self.plan}"
