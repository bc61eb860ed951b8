"""What is thought of a class of fans before one's own record counts."""

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
