"""Emails owed and sent, addresses that take none, and who has had enough of which."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.db import models

from fleet.models import Owner, Person


class NoticeQuerySet(models.QuerySet["Notice"]):
    """Notices by what has become of them."""

    def owed(self, now: datetime) -> NoticeQuerySet:
        """To be sent, to an address that takes mail, and which nobody has in hand."""
        return self.unsent().free(now).filter(~self.model.refused(), send_after__lte=now)

    def held(self) -> NoticeQuerySet:
        """To be sent, and to nobody who can be reached: their address was refused."""
        return self.unsent().filter(self.model.refused())

    def free(self, now: datetime) -> NoticeQuerySet:
        """Those that no sender has in hand: never claimed, or the claim has run out."""
        return self.filter(models.Q(claimed_until=None) | models.Q(claimed_until__lte=now))

    def unsent(self) -> NoticeQuerySet:
        """Neither sent nor given up."""
        return self.filter(sent_at=None, given_up_at=None)

    def failed(self) -> NoticeQuerySet:
        """Given up; one that its reader had left was never to go."""
        return self.exclude(given_up_at=None).exclude(fault=self.model.LEFT)


class Notice(models.Model):
    """An email that somebody is owed, once for its kind, addressee and period.

    Written with its words as they go out, to an owner or to a ``person`` of the company;
    ``claim`` is who has it in hand until ``claimed_until``, ``fault`` why the last attempt failed.
    """

    LEFT = "They unsubscribed before it went."
    """The fault of a letter that its reader had left."""

    class Kind(models.TextChoices):
        OVERDUE = "overdue", "overdue inspections"
        ADVICE = "advice", "advice awaiting an answer"
        CRITICAL = "critical", "stop or critical finding"
        MADE_SAFE = "made-safe", "out of service"
        NO_ACCESS = "no-access", "no way onto the roof"
        UNANSWERED = "unanswered", "owner without an answer"
        DECIDED = "decided", "answer confirmed"
        TOLD = "told", "what a kitchen told"
        ASKED = "asked", "asked of a kitchen"
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
            # read every half hour: what of a kind was written lately
            models.Index(fields=["kind", "owed_at"], name="notice_of_kind_by_time"),
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
        return name_of(self.owner, self.person)


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


def _token() -> str:
    """256 bits that nobody can guess and that say nothing."""
    return secrets.token_hex(32)


class SubscriptionQuerySet(models.QuerySet["Subscription"]):
    """Subscriptions by whether they go on."""

    def left(self) -> SubscriptionQuerySet:
        """Those that their readers have ended."""
        return self.exclude(left_at=None)


class Subscription(models.Model):
    """One reader of one kind of digest, as notices name both; ``left_at`` once they have left.

    ``token`` is in every such email's link by which they leave and come back.
    """

    kind = models.CharField(max_length=12, choices=Notice.Kind.choices)
    addressee = models.CharField(max_length=40)
    owner = models.ForeignKey(Owner, null=True, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(Person, null=True, on_delete=models.CASCADE, related_name="+")
    token = models.CharField(max_length=64, unique=True, default=_token, editable=False)
    left_at = models.DateTimeField(null=True)

    objects = SubscriptionQuerySet.as_manager()

    class Meta:
        ordering = ["-left_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "addressee"], name="subscription_once"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.addressee}"

    @property
    def reader(self) -> str:
        """The name of whom it is to."""
        return name_of(self.owner, self.person)


def name_of(owner: Owner | None, person: Person | None) -> str:
    """The owner's name, else the person's."""
    if owner:
        return owner.name
    return person.called if person else ""
