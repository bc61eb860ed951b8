"""One stored answer per fan, its packed history, a log of what changed, notices, their refusals."""

from __future__ import annotations

from datetime import datetime

from django.db import models

from fleet.models import Fan, Owner, Person, Site
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
    ``worst_verdict`` and ``fault`` serve lists.  ``revision`` rises with whatever touches the fan,
    ``reckoned_revision`` is the one the answer was reckoned from.
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
    fault = models.CharField(max_length=250, blank=True)
    revision = models.PositiveBigIntegerField(default=1)
    reckoned_revision = models.PositiveBigIntegerField(default=0)

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


class NoticeQuerySet(models.QuerySet["Notice"]):
    """Notices by what has become of them."""

    def owed(self, now: datetime) -> NoticeQuerySet:
        """To be sent, to an address that takes mail, and which nobody has in hand."""
        return self.unsent().free(now).filter(~self.model.refused(), send_after__lte=now)

    def held(self) -> NoticeQuerySet:
        """To be sent, and to nobody who can be reached: their address was refused."""
        return self.unsent().filter(self.model.refused())

    def free(self, now: datetime) -> NoticeQuerySet:
        """Nobody has them in hand."""
        return self.filter(models.Q(claimed_until=None) | models.Q(claimed_until__lte=now))

    def unsent(self) -> NoticeQuerySet:
        """Neither sent nor given up."""
        return self.filter(sent_at=None, given_up_at=None)


class Notice(models.Model):
    """An email that somebody is owed, once for its kind, addressee and period.

    Written with its words as they go out, to an owner or to a ``person`` of the company;
    ``claim`` is who has it in hand until ``claimed_until``, ``fault`` why the last attempt failed.
    """

    class Kind(models.TextChoices):
        OVERDUE = "overdue", "overdue inspections"
        ADVICE = "advice", "advice awaiting an answer"
        CRITICAL = "critical", "stop or critical finding"
        MADE_SAFE = "made-safe", "out of service"
        UNANSWERED = "unanswered", "owner without an answer"
        DECIDED = "decided", "answer confirmed"
        TOLD = "told", "what a kitchen told"
        DAY = "day", "a technician's day"
        MONDAY = "monday", "the week ahead"
        SUMMARY = "summary", "the week that was"

    kind = models.CharField(max_length=12, choices=Kind.choices)
    addressee = models.CharField(max_length=40)
    period = models.CharField(max_length=60)
    owner = models.ForeignKey(Owner, null=True, on_delete=models.CASCADE, related_name="notices")
    person = models.ForeignKey(Person, null=True, on_delete=models.CASCADE, related_name="notices")
    address = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    calendar = models.TextField(blank=True)
    owed_at = models.DateTimeField()
    send_after = models.DateTimeField()
    claim = models.UUIDField(null=True)
    claimed_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True)
    given_up_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=250, blank=True)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "addressee", "period"], name="notice_once_a_period"
            ),
            models.CheckConstraint(
                name="notice_to_an_owner_or_a_person",
                condition=models.Q(owner=None, person__isnull=False)
                | models.Q(owner__isnull=False, person=None),
            ),
            models.CheckConstraint(
                name="notice_sent_or_given_up",
                condition=models.Q(sent_at=None) | models.Q(given_up_at=None),
            ),
        ]
        indexes = [
            # read by every sender
            models.Index(
                fields=["send_after"],
                condition=models.Q(sent_at=None, given_up_at=None),
                name="notice_owed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.addressee} {self.period}"

    @staticmethod
    def refused() -> models.Exists:
        """Whether a mail server has refused the address of a row."""
        return models.Exists(RefusedAddress.objects.filter(pk=models.OuterRef("address")))

    @property
    def reader(self) -> str:
        """The name of whom it is to."""
        if self.owner:
            return self.owner.name
        return self.person.get_full_name() or self.person.username if self.person else ""


class RefusedAddress(models.Model):
    """An address that a mail server refused for good: no letter goes there while this row stands.

    It goes once nobody in the register has that address any more, or somebody says to try again.
    """

    address = models.EmailField(primary_key=True)
    since = models.DateTimeField()
    why = models.CharField(max_length=250)

    class Meta:
        ordering = ["since", "address"]

    def __str__(self) -> str:
        return self.address
