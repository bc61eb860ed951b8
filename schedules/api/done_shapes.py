"""The shapes of what the API takes and tells of planned walk-throughs, for its schema."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.api.fields import TextField
from fleet.api.register import StrictSerializer
from schedules.done.figures import BY
from schedules.done.judging import CALLED_OFF, WAITING, Outcome
from visits.api.shapes import FanNamed, Named
from visits.models import NotReached

OUTCOMES = [each.value for each in Outcome]
WEEK = r"^\d{4}-W\d{2}$"
ALL_REASONS = [*NotReached.REASONS, CALLED_OFF, WAITING]


class Counted(serializers.Serializer[Any]):
    """How often a reason was why."""

    reason = serializers.ChoiceField(choices=ALL_REASONS)
    count = serializers.IntegerField()


class RowOf(serializers.Serializer[Any]):
    """What a row is about: a week, which has no id, or somebody or something by its own."""

    id = serializers.IntegerField(allow_null=True)
    name = serializers.CharField(allow_blank=True)


class FiguresTold(serializers.Serializer[Any]):
    """Fans' work counted: `planned` is `kept`, `later`, `excused` and `silent` together.

    `dropped` and `ahead` are not among it; `was_overdue` were so before their day, `unplanned` are
    fans looked at beside the plan.
    """

    of = RowOf()
    planned = serializers.IntegerField()
    kept = serializers.IntegerField()
    later = serializers.IntegerField()
    excused = serializers.IntegerField()
    silent = serializers.IntegerField()
    dropped = serializers.IntegerField()
    ahead = serializers.IntegerField()
    on_time = serializers.IntegerField()
    was_overdue = serializers.IntegerField()
    unplanned = serializers.IntegerField()
    reasons = Counted(many=True)


class DoneTold(serializers.Serializer[Any]):
    """Figures of some weeks."""

    first = serializers.CharField()
    last = serializers.CharField()
    by = serializers.ChoiceField(choices=BY)
    next = serializers.URLField(allow_null=True)
    results = FiguresTold(many=True)


class FanCame(serializers.Serializer[Any]):
    """What one fan's work came to, and why where it was not done."""

    fan = FanNamed()
    outcome = serializers.ChoiceField(choices=OUTCOMES)
    done_on = serializers.DateField(allow_null=True)
    on_time = serializers.BooleanField(allow_null=True)
    overdue_after = serializers.DateField()
    reason = serializers.ChoiceField(choices=ALL_REASONS, allow_blank=True)
    note = serializers.CharField(allow_blank=True)


class StopJudged(serializers.Serializer[Any]):
    """A stop as it was planned, and its fans."""

    stop = serializers.UUIDField()
    day = serializers.DateField()
    site = Named()
    technician = Named(allow_null=True)
    fans = FanCame(many=True)


class StopsTold(serializers.Serializer[Any]):
    """A week's stops."""

    week = serializers.CharField()
    next = serializers.URLField(allow_null=True)
    results = StopJudged(many=True)


class ReasonSent(StrictSerializer):
    """Why a stop was not made; `other` takes a note."""

    id = serializers.UUIDField(help_text="made by who sends it")
    week = serializers.RegexField(WEEK)
    stop = serializers.UUIDField()
    reason = serializers.ChoiceField(choices=list(NotReached.REASONS))
    note = TextField(max_length=250, required=False, allow_blank=True, default="")


class ReasonTold(serializers.Serializer[Any]):
    """A reason on record."""

    id = serializers.UUIDField()
    week = serializers.CharField()
    stop = serializers.UUIDField()
    day = serializers.DateField()
    reason = serializers.CharField()
    note = serializers.CharField(allow_blank=True)
    given_at = serializers.DateTimeField()
    given_by = Named()
