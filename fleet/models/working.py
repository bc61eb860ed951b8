"""When and from where technicians go out: a week's hours with a home base, and days off."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext as _

from fleet.models.history import keep_history
from fleet.models.people import Person
from fleet.models.plain import PlainRow

LONGEST_OVERTIME_MINUTES = 300
LONGEST_RESERVE_MINUTES = 480
RESERVE_MINUTES = 60
"""Our choice: an hour a day for breakdowns and pauses."""


class WorkingWeek(PlainRow):
    """From where a technician sets out and in which weekly hours, as ``fleet.opening`` parses them.

    Of each day's hours ``reserve_minutes`` stay free for breakdowns and pauses; a round may go past
    them, or into what is kept free, by ``overtime_minutes``.  Whoever has none is sent nowhere by a
    plan.
    """

    technician = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="working_week")
    base = models.CharField(max_length=250, blank=True)
    latitude = models.FloatField()
    longitude = models.FloatField()
    hours = models.JSONField(default=list)
    overtime_minutes = models.PositiveSmallIntegerField(
        default=0, validators=[MaxValueValidator(LONGEST_OVERTIME_MINUTES)]
    )
    reserve_minutes = models.PositiveSmallIntegerField(
        default=RESERVE_MINUTES, validators=[MaxValueValidator(LONGEST_RESERVE_MINUTES)]
    )

    history = keep_history()

    class Meta:
        ordering = ["technician_id"]
        constraints = [
            models.CheckConstraint(
                name="working_week_base_on_earth",
                condition=models.Q(latitude__range=(-90, 90), longitude__range=(-180, 180)),
                violation_error_message="Latitude is -90 to 90 degrees, longitude -180 to 180.",
            ),
            models.CheckConstraint(
                name="working_week_minutes_within_a_day",
                condition=models.Q(
                    overtime_minutes__lte=LONGEST_OVERTIME_MINUTES,
                    reserve_minutes__lte=LONGEST_RESERVE_MINUTES,
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"working week of {self.technician}"

    @property
    def position(self) -> tuple[float, float]:
        """Latitude and longitude of the base [degrees]."""
        return self.latitude, self.longitude

    def clean(self) -> None:
        """A week has hours, and a day no more than one span of them: a round is one."""
        super().clean()
        if self.hours and not any(self.hours):
            told = _("No day has hours; give at least one.")
            raise ValidationError({"hours": ValidationError(told, code="hours")})
        if any(len(day) > 1 for day in self.hours or ()):
            told = _("A day has several spans; a round is one: give its beginning and its end.")
            raise ValidationError({"hours": ValidationError(told, code="hours")})


class DaysOff(PlainRow):
    """Days on which a technician does not work, first and last included; without one, nobody does.

    So a public holiday is one row.
    """

    technician = models.ForeignKey(
        Person, on_delete=models.CASCADE, null=True, blank=True, related_name="days_off"
    )
    first_on = models.DateField()
    last_on = models.DateField()
    reason = models.CharField(max_length=120, blank=True)

    history = keep_history()

    class Meta:
        ordering = ["first_on", "pk"]
        verbose_name_plural = "days off"
        indexes = [
            # read by whoever plans a week
            models.Index(fields=["last_on", "first_on"], name="days_off_by_day"),
        ]
        constraints = [
            models.CheckConstraint(
                name="days_off_end_after_they_begin",
                condition=models.Q(last_on__gte=models.F("first_on")),
                violation_error_message="The last day lies before the first; correct one of them.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.technician or 'everybody'} off from {self.first_on} to {self.last_on}"
