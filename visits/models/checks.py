"""Checks: one fan at one stage of one visit, as one wide row driven by the quantity registry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models import Q

from fleet.models import Fan, Machine
from fleet.quantities import CONTEXT, MEASURED, SEEN
from visits.models.visits import Visit

STAGES = (("as_found", "as found"), ("as_left", "as left"))


def _columns() -> dict[str, models.Field[Any, Any]]:
    """Nullable columns in canonical units, state codes of seen items, the check's context."""
    columns: dict[str, models.Field[Any, Any]] = {}
    for quantity in MEASURED:
        columns[quantity.name] = models.FloatField(null=True, blank=True)
    for quantity in SEEN:
        columns[quantity.name] = models.CharField(max_length=20, null=True, blank=True)
    for field in CONTEXT:
        columns[field.name] = (
            models.CharField(max_length=20, null=True, blank=True)
            if field.choices
            else models.FloatField(null=True, blank=True)
        )
    return columns


def _constraints() -> list[models.CheckConstraint]:
    """Database bounds for every column, named after it."""
    within: dict[str, tuple[str, Any]]
    within = {q.name: ("range", (q.low, q.high)) for q in MEASURED}
    within |= {q.name: ("in", q.state_codes) for q in SEEN}
    within |= {
        f.name: ("in", f.choices) if f.choices else ("range", (f.low, f.high)) for f in CONTEXT
    }
    return [_bound(name, Q(**{f"{name}__{how}": what})) for name, (how, what) in within.items()]


def _bound(name: str, condition: Q) -> models.CheckConstraint:
    return models.CheckConstraint(
        name=f"check_{name}", condition=Q(**{f"{name}__isnull": True}) | condition
    )


if TYPE_CHECKING:

    class Readings(models.Model):
        """The registry's readings as columns, which a type checker cannot see."""

        class Meta:
            abstract = True

        def __getattr__(self, name: str) -> Any: ...

else:
    Readings = type(
        "Readings",
        (models.Model,),
        {
            "__module__": __name__,
            "__doc__": "The registry's readings as columns.",
            "Meta": type("Meta", (), {"abstract": True}),
            **_columns(),
        },
    )


class Check(Readings):
    """What was read and seen of one fan.

    ``typed`` keeps each reading as typed (value, unit, qualifier); ``judged`` the verdicts given
    when it was logged, by subject; ``lasting`` the subjects whose fault is marked lasting.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="checks")
    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="checks")
    machine = models.ForeignKey(
        Machine, null=True, blank=True, on_delete=models.PROTECT, related_name="checks"
    )
    stage = models.CharField(max_length=8, choices=STAGES, default="as_found")
    began_at = models.DateTimeField()
    typed = models.JSONField(default=dict, blank=True)
    judged = models.JSONField(default=dict, blank=True)
    lasting = models.JSONField(default=list, blank=True)
    recheck_days = models.JSONField(default=dict, blank=True)
    switch_left = models.CharField(max_length=20, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["-began_at", "id"]
        # (fan, began_at) is read by the fan's page and by the history builder.
        indexes = [models.Index(fields=["fan", "began_at"], name="check_fan_time")]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "fan", "stage"], name="check_one_per_visit_fan_stage"
            ),
            *_constraints(),
        ]

    def __str__(self) -> str:
        return f"check of {self.fan_id} {self.stage}"
