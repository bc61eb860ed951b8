"""What is thought of fans before their own record counts."""

from __future__ import annotations

from django.db import models


class FailureClass(models.Model):
    """How often fans of one drive fail: a gamma law fitted over those on record (rule 8).

    ``shape`` and ``mean_a_year`` are empty where ``fans`` and ``failures`` were too few to fit one.
    Dates rest on them, so they are part of the record: ``is_told`` once all fans whose dates do
    have been marked since they last changed.
    """

    drive = models.CharField(max_length=6, primary_key=True)
    shape = models.FloatField(null=True)
    mean_a_year = models.FloatField(null=True)
    fans = models.PositiveIntegerField()
    failures = models.PositiveIntegerField()
    fitted_on = models.DateField()
    is_told = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="failure_class_law_is_whole",
                condition=models.Q(shape__isnull=True, mean_a_year__isnull=True)
                | models.Q(shape__gt=0, mean_a_year__gt=0),
            )
        ]

    def __str__(self) -> str:
        return f"{self.drive}: {self.failures} failures of {self.fans} fans"


class WaitingFigure(models.Model):
    """What a fleet's record teaches of waiting: a factor of a state, or the preventable share.

    ``seen`` failures over ``of`` expected or told; ``figure`` is that drawn towards our choice,
    ``lower`` and ``upper`` the exact limits of 95 % without it, empty where there are none.  Prices
    use it once ``is_learned``.  No date rests on it.
    """

    name = models.CharField(max_length=20, primary_key=True)
    seen = models.FloatField()
    of = models.FloatField()
    figure = models.FloatField()
    lower = models.FloatField(null=True)
    upper = models.FloatField(null=True)
    is_learned = models.BooleanField()
    fitted_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="waiting_figure_is_positive", condition=models.Q(figure__gt=0)
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.figure:g}"
