"""Failures counted over the fleet: by item, by machine model, by site, and by time under watch."""

from __future__ import annotations

from django.db import models

from fleet.models import Site
from fleet.models.seen import OfOwnerQuerySet


class FailureTallyQuerySet(OfOwnerQuerySet["FailureTally"]):
    """Counts by who may see them: an owner those of the own sites, none that hold others' fans."""

    to_owner = "site__owner"

    def in_order(self) -> FailureTallyQuerySet:
        """What stands out first, then by how often it failed."""
        return self.select_related("site__owner").order_by("-stands_out", "-failures", "-pk")


class FailureTally(models.Model):
    """Two failures or more of one item in one group of fans; ``item`` is empty for any item.

    ``by`` says which of ``model`` and ``site`` names the group; by item it is the whole fleet.
    ``figures`` hold the comparison as it stood ``as_of`` that day, when these failures on record
    last changed; nothing here depends on today.
    """

    class By(models.TextChoices):
        ITEM = "item", "item"
        MODEL = "model", "model"
        SITE = "site", "site"

    by = models.CharField(max_length=5, choices=By.choices)
    model = models.CharField(max_length=80, blank=True)
    site = models.ForeignKey(
        Site, null=True, blank=True, on_delete=models.CASCADE, related_name="failure_tallies"
    )
    item = models.CharField(max_length=40, blank=True)
    failures = models.PositiveIntegerField()
    positions = models.PositiveIntegerField()
    last_on = models.DateField()
    stands_out = models.BooleanField()
    figures = models.JSONField(default=dict)
    as_of = models.DateField()

    objects = FailureTallyQuerySet.as_manager()

    class Meta:
        ordering = ["by", "-stands_out", "-failures", "-pk"]
        # read backwards by page and API: what stands out first
        indexes = [
            models.Index(fields=["by", "stands_out", "failures", "id"], name="tally_in_order")
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["by", "model", "item"],
                condition=models.Q(site=None),
                name="tally_one_per_model_and_item",
            ),
            models.UniqueConstraint(
                fields=["site", "item"],
                condition=models.Q(site__isnull=False),
                name="tally_one_per_site_and_item",
            ),
            models.CheckConstraint(
                name="tally_names_its_group",
                condition=models.Q(by="item", model="", site=None)
                | models.Q(by="model", site=None) & ~models.Q(model="")
                | models.Q(by="site", model="", site__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item or 'any item'} by {self.by}: {self.failures} failures"


class FleetCurve(models.Model):
    """How often a fan has failed by so long under watch, on average over the fleet: one row.

    ``points`` are lists of years under watch, fans watched so long, mean, lower and upper limit.
    """

    fans = models.PositiveIntegerField()
    failures = models.PositiveIntegerField()
    last_on = models.DateField()
    points = models.JSONField(default=list)
    as_of = models.DateField()

    def __str__(self) -> str:
        return f"{self.failures} failures of {self.fans} fans"
