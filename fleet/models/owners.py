"""Owners of kitchens and the agreements under which their fans are visited."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models

from config.languages import language_field
from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet


class OwnerQuerySet(OfOwnerQuerySet["Owner"]):
    """Owners by who may see them."""

    to_owner = "pk"


class Owner(PlainRow):
    """Whoever decides on repairs and stays responsible for the kitchens."""

    name = models.CharField(max_length=120, unique=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    language = language_field()
    notes = models.TextField(blank=True)

    objects = OwnerQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class AgreementQuerySet(OfOwnerQuerySet["Agreement"]):
    """Agreements by who may see them."""

    to_owner = "owner"


class Agreement(PlainRow):
    """What an owner bought from ``starts_on``: visits a year (none: as due) and how careful."""

    class Reliability(models.TextChoices):
        LOW = "low", "low"
        MEDIUM = "medium", "medium"
        HIGH = "high", "high"

    owner = models.ForeignKey(Owner, on_delete=models.CASCADE, related_name="agreements")
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    visits_per_year = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    reliability = models.CharField(
        max_length=6, choices=Reliability.choices, default=Reliability.MEDIUM
    )
    stretching_allowed = models.BooleanField(default=False)
    spending_limit = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    notes = models.TextField(blank=True)

    objects = AgreementQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["owner_id", "starts_on"]
        constraints = [
            models.UniqueConstraint(
                fields=["owner", "starts_on"], name="agreement_one_per_owner_and_start"
            ),
            models.CheckConstraint(
                name="agreement_ends_after_it_starts",
                condition=models.Q(ends_on__isnull=True)
                | models.Q(ends_on__gte=models.F("starts_on")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.owner} from {self.starts_on}"
