"""The shapes of a week's rounds in the API, for its schema."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from schedules.api.shapes import Named
from schedules.engine import rounds as engine
from visits.api.shapes import FanNamed


class PlannedFanTold(FanNamed):
    """A fan's work at a stop, or left out: the numbers of the rules that ask for it."""

    skill = serializers.CharField(allow_null=True)
    rules = serializers.ListField(child=serializers.IntegerField())
    pulled_forward = serializers.BooleanField(required=False)


class StopTold(serializers.Serializer[Any]):
    """One coming to one site; ``id`` stays with it through versions."""

    id = serializers.UUIDField()
    site = Named()
    arrive_minute = serializers.IntegerField()
    start_minute = serializers.IntegerField()
    leave_minute = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    travel_minutes = serializers.IntegerField()
    travel_km = serializers.FloatField()
    coming_cost = serializers.FloatField(help_text="what the round would cost less without it")
    waiting_cost = serializers.FloatField(help_text="what waiting for a later week is to cost")
    why = serializers.ChoiceField(choices=[str(each) for each in engine.Why])
    reason = serializers.CharField()
    pinned = serializers.BooleanField()
    booking = serializers.UUIDField(allow_null=True)
    broken = serializers.ListField(child=serializers.CharField())
    skills = serializers.ListField(
        child=serializers.CharField(), help_text="qualifications that whoever goes must have"
    )
    skills_lacking = serializers.ListField(
        child=serializers.CharField(), help_text="those of them that the technician has not"
    )
    fans = PlannedFanTold(many=True)


class RoundTold(serializers.Serializer[Any]):
    """One technician's day; its cost is in the currency of this install."""

    technician = Named()
    day = serializers.DateField()
    leave_minute = serializers.IntegerField()
    back_minute = serializers.IntegerField()
    travel_minutes = serializers.IntegerField()
    travel_km = serializers.FloatField()
    overtime_minutes = serializers.IntegerField()
    past_shift_minutes = serializers.IntegerField()
    free_minutes = serializers.IntegerField()
    cost = serializers.FloatField()
    published = serializers.BooleanField()
    broken = serializers.ListField(child=serializers.CharField())
    stops = StopTold(many=True)


class LeftOutTold(serializers.Serializer[Any]):
    """Fans of one site that nobody goes to, and why."""

    site = Named()
    reason = serializers.CharField()
    text = serializers.CharField()
    required = serializers.BooleanField()  # type: ignore[assignment]  # a field
    fans = PlannedFanTold(many=True)


class WeekRoundsTold(serializers.Serializer[Any]):
    """A version of a week, ``version`` null for the draft; minutes are of the day in ``time_zone``.

    Technicians are told neither ``revision``, ``figures`` nor ``overload``, and of ``left_out``
    nothing.
    """

    week = serializers.CharField()
    version = serializers.IntegerField(allow_null=True)
    published_at = serializers.DateTimeField(allow_null=True)
    time_zone = serializers.CharField()
    revision = serializers.IntegerField(allow_null=True)
    figures = serializers.DictField(child=serializers.FloatField(), allow_null=True)
    rounds = RoundTold(many=True)
    left_out = LeftOutTold(many=True)
    overload = serializers.DictField(allow_null=True)
