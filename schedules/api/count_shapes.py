"""The shapes of failures counted over the fleet, and of fans tipped by crew, for the schema."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from schedules.models import FailureTally
from visits.api.shapes import FanNamed, Named

BY = FailureTally.By.values


def _maybe() -> serializers.FloatField:
    return serializers.FloatField(allow_null=True)


class CountFigures(serializers.Serializer[Any]):
    """How often, and against what; null where nothing tells.

    By model and site, `compared` are failures in classes of motor and drive of which there are fans
    outside the group, `others` those of these fans, and `others_years` their time, weighed like the
    group's; by item they are those of the last year and before. `ratio` is the one rate over the
    other. Limits are of 95 %. `chance` is that of so many or more were the
    rates one, `discovery` the same adjusted for all that was tested; `shape` is a power law's,
    above 1 they come ever faster, `p` Laplace's.
    """

    years = serializers.FloatField()
    rate_lower = _maybe()
    rate_upper = _maybe()
    compared = serializers.IntegerField()
    others = serializers.IntegerField()
    others_years = _maybe()
    ratio = _maybe()
    lower = _maybe()
    upper = _maybe()
    chance = serializers.FloatField()
    discovery = serializers.FloatField()
    shape = _maybe()
    shape_lower = _maybe()
    shape_upper = _maybe()
    p = _maybe()


class FailuresCounted(serializers.Serializer[Any]):
    """Two failures or more in one group; `item` empty: any item, a fan once a day.

    Owners get those of their own sites, without figures, which count other owners' fans.
    """

    id = serializers.IntegerField()
    by = serializers.ChoiceField(choices=BY)
    model = serializers.CharField(allow_blank=True)
    site = Named(allow_null=True)
    item = serializers.CharField(allow_blank=True)
    failures = serializers.IntegerField()
    positions = serializers.IntegerField(help_text="fans that failed so")
    last_on = serializers.DateField()
    stands_out = serializers.BooleanField()
    figures = CountFigures(allow_null=True)
    as_of = serializers.DateField()
    sentence = serializers.CharField()


class CurvePoint(serializers.Serializer[Any]):
    """By so many years under watch; `watched` fans were watched so long. Limits are of 95 %."""

    years = serializers.FloatField()
    watched = serializers.IntegerField()
    mean = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()


class CurveTold(serializers.Serializer[Any]):
    """How often a fan has failed by so long under watch (Nelson's mean cumulative function)."""

    fans = serializers.IntegerField()
    failures = serializers.IntegerField()
    as_of = serializers.DateField(allow_null=True, help_text="null: nothing failed yet")
    points = CurvePoint(many=True)


class StepTold(serializers.Serializer[Any]):
    """A fan worse at the look after a cleaning than before: what of it, and how bad."""

    fan = FanNamed()
    site = Named()
    cleaned_on = serializers.DateField()
    before_on = serializers.DateField()
    after_on = serializers.DateField()
    subjects = serializers.DictField(child=serializers.ChoiceField(["act", "stop"]))


class CrewTold(serializers.Serializer[Any]):
    """Of `tipped` fans `told` were looked at before and after; `share` of these were worse.

    Limits are exact, of 95 %; 0 and 1 where none was looked at.
    """

    name = serializers.CharField(allow_blank=True)
    tipped = serializers.IntegerField()
    told = serializers.IntegerField()
    worse = serializers.IntegerField()
    share = _maybe()
    lower = serializers.FloatField()
    upper = serializers.FloatField()
    steps = StepTold(many=True)


class CrewsTold(serializers.Serializer[Any]):
    """Crews that tipped most fans in two years, each by its newest hundred."""

    as_of = serializers.DateField()
    crews = CrewTold(many=True)
