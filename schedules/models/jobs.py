"""What of the timetable is done, in hand, resting or parked."""

from __future__ import annotations

from datetime import datetime

from django.db import models


class JobQuerySet(models.QuerySet["Job"]):
    """Jobs by who may take them up."""

    def free(self, now: datetime) -> JobQuerySet:
        """Neither parked nor resting, and nobody's whose time is not up."""
        rested = models.Q(rest_until=None) | models.Q(rest_until__lte=now)
        loose = models.Q(claimed_until=None) | models.Q(claimed_until__lte=now)
        return self.filter(rested, loose, parked_at=None)

    def ranges(self) -> JobQuerySet:
        """Ranges of fans, which are gone once done."""
        return self.filter(last_fan__gt=0)

    def parked(self) -> JobQuerySet:
        """Those that nobody takes up until somebody lets them go."""
        return self.exclude(parked_at=None)


class Job(models.Model):
    """An entry of the timetable with its latest ``turn``, or a range of fans that a turn left.

    ``claim`` is who has it in hand until ``claimed_until``; ``tries`` count since it last went
    well, ``fault`` says why it did not.  ``count`` is what the turn came to, ``sent_at`` when it
    was last handed to the workers.  A range has fans, an entry the fans 0 to 0.
    """

    entry = models.CharField(max_length=40)
    first_fan = models.BigIntegerField(default=0)
    last_fan = models.BigIntegerField(default=0)
    turn = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    begun_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    count = models.PositiveBigIntegerField(default=0)
    claim = models.CharField(max_length=40, blank=True)
    claimed_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    rest_until = models.DateTimeField(null=True)
    parked_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=250, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["entry", "first_fan"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "first_fan"], name="job_once_a_range")
        ]

    def __str__(self) -> str:
        return f"{self.entry} {self.first_fan}-{self.last_fan}" if self.last_fan else self.entry

    @property
    def fans(self) -> tuple[int, int] | None:
        """The first and last fan of a range; None for a turn of the timetable."""
        return (self.first_fan, self.last_fan) if self.last_fan else None
