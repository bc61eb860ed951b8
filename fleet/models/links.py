"""Links by which an owner reads and answers without signing in: possession, never identity."""

from __future__ import annotations

from datetime import datetime
from uuid import uuid4

from django.conf import settings
from django.db import models

from fleet.models.owners import Owner
from fleet.models.people import Person
from fleet.models.sites import Site


class OwnerLinkQuerySet(models.QuerySet["OwnerLink"]):
    """Links by whether they still open anything."""

    def open_at(self, now: datetime) -> OwnerLinkQuerySet:
        """Neither ended nor past their time."""
        return self.filter(revoked_at=None, expires_at__gt=now)


class LinkGuesses(models.Model):
    """How many links that are none came from one address since when, on all hosts together.

    ``address`` tells addresses apart and says none of them (``fleet.services.guesses``).
    """

    address = models.CharField(max_length=64, primary_key=True)
    since = models.DateTimeField()
    guesses = models.PositiveIntegerField()


class OwnerLink(models.Model):
    """A link to an owner's page, or to one question about one site.

    Its words are never stored, only their SHA-256: they are worked out from ``id`` and the
    install's secret when a letter goes out.  ``sent_to`` is the address it went to; without one
    ``made_by`` handed it over.
    """

    class Purpose(models.TextChoices):
        PAGE = "page", "the owner's page"
        RUNNING = "running", "are the fans running"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    token_sha256 = models.CharField(max_length=64, unique=True)
    owner = models.ForeignKey(Owner, on_delete=models.CASCADE, related_name="links")
    site = models.ForeignKey(
        Site, null=True, blank=True, on_delete=models.CASCADE, related_name="links"
    )
    purpose = models.CharField(max_length=8, choices=Purpose.choices)
    sent_to = models.EmailField(blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    used_on = models.DateField(null=True, blank=True)

    objects = OwnerLinkQuerySet.as_manager()

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.CheckConstraint(
                name="link_about_running_names_its_site",
                condition=~models.Q(purpose="running") | models.Q(site__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} of {self.owner_id}"

    def stands(self, now: datetime) -> bool:
        """Whether it opens anything: in its time, and its address still one of the owner's.

        An address taken out of the register, or a contact no longer active, ends it.
        """
        if self.revoked_at or self.expires_at <= now:
            return False
        if not self.sent_to or self.owner.email.casefold() == self.sent_to.casefold():
            return True
        return Person.objects.filter(
            owner=self.owner_id, is_active=True, email__iexact=self.sent_to
        ).exists()
