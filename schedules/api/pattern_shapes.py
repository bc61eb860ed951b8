"""The shapes of what the API takes and tells of what keeps failing, for its schema."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.api.fields import TextField, WholeField
from fleet.api.register import StrictSerializer
from schedules.models import Pattern
from schedules.patterns.closing import MOST_WORDS
from visits.api.shapes import FanNamed, Named
from visits.models import Event

STATES = Pattern.State.values


class FiguresCompared(serializers.Serializer[Any]):
    """Failures here beside those of `others` of the same class, when they last changed.

    `ratio` is this rate over theirs, with limits of 95 %; null where nothing tells. `chance` is
    that of so many or more here were the rates one, `discovery` the same adjusted for all tests.
    """

    years = serializers.FloatField()
    others = serializers.IntegerField()
    others_years = serializers.FloatField()
    ratio = serializers.FloatField(allow_null=True)
    lower = serializers.FloatField(allow_null=True)
    upper = serializers.FloatField(allow_null=True)
    chance = serializers.FloatField()
    discovery = serializers.FloatField()
    motor_type = serializers.CharField(allow_blank=True)
    drive = serializers.CharField(allow_blank=True)


class PatternClosed(serializers.Serializer[Any]):
    """How a pattern was closed; by nobody where the record it rested on was corrected.

    `visit` is the one whose finding told the cause, if that closed it; the cause is then as written
    there. Owners are told the cause, not by whom it was closed or with which reason.
    """

    closed_at = serializers.DateTimeField()
    closed_by = Named(allow_null=True)
    visit = serializers.UUIDField(allow_null=True)
    cause = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    failures = serializers.IntegerField()


class PatternTold(serializers.Serializer[Any]):
    """One item of one fan that keeps failing; `as_of` is the day of its figures.

    Owners get no figures, which count other owners' fans.
    """

    id = serializers.IntegerField()
    fan = FanNamed()
    site = Named()
    item = serializers.CharField()
    state = serializers.ChoiceField(choices=STATES)
    failures = serializers.IntegerField()
    first_on = serializers.DateField()
    last_on = serializers.DateField()
    closest_days = serializers.IntegerField()
    again_soon = serializers.BooleanField()
    by_rate = serializers.BooleanField()
    figures = FiguresCompared(allow_null=True)
    as_of = serializers.DateField()
    raised_at = serializers.DateTimeField()
    sentence = serializers.CharField()


class PatternLook(serializers.Serializer[Any]):
    """A look beside a failure: what was not within, by subject."""

    on = serializers.DateField()
    visit = serializers.UUIDField()
    verdicts = serializers.DictField(child=serializers.ChoiceField(["watch", "act", "stop"]))


class EventBeside(serializers.Serializer[Any]):
    """An event in the 30 days before a failure; `tipped` if this fan was."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=Event.KINDS)
    ended_on = serializers.DateField()
    tipped = serializers.BooleanField()


class AdviceBeside(serializers.Serializer[Any]):
    """Advice on that item before it failed which led to nothing; that shows no cause."""

    id = serializers.UUIDField()
    on = serializers.DateField()
    answer = serializers.CharField(allow_blank=True, help_text="empty: nobody answered")


class PatternFailure(serializers.Serializer[Any]):
    """A failure; `failed_on` null: after `ran_on` (seen running or renewed), by `found_on`."""

    failed_on = serializers.DateField(allow_null=True)
    ran_on = serializers.DateField(allow_null=True)
    found_on = serializers.DateField()
    visit = serializers.UUIDField()
    machine = serializers.IntegerField(allow_null=True)
    in_warranty = serializers.BooleanField()
    cause = serializers.CharField(allow_blank=True)
    failure_mode = serializers.CharField(allow_blank=True)
    mechanism = serializers.CharField(allow_blank=True)
    replaced_without_cause = serializers.BooleanField()
    looked_before = PatternLook(allow_null=True)
    looked_after = PatternLook(allow_null=True)
    events = EventBeside(many=True)
    advice = AdviceBeside(allow_null=True)


class CallBackTold(serializers.Serializer[Any]):
    """The same item again within 30 days of its repair: no new failure."""

    on = serializers.DateField()
    visit = serializers.UUIDField()


class OnMachine(serializers.Serializer[Any]):
    """Failures that fell on one machine."""

    machine = serializers.IntegerField()
    failures = serializers.IntegerField()


class PatternMachines(serializers.Serializer[Any]):
    """Whether it is the machine that fails, or the position whatever machine stands there.

    `told`: every machine that stood here failed (`position`), `some` of several, one of several
    (`machine`), only one stood here (`one_machine`), or it is not on record (`unknown`).  Where
    `item_stays` when a machine is replaced (a switch, the curb) it is the position that lost it,
    and `failures` counts what fell while each machine stood there.
    `elsewhere` counts what others of the model in place lost of that item; null where nothing was
    counted, and for owners.
    """

    stood = serializers.IntegerField()
    told = serializers.ChoiceField(["position", "some", "machine", "one_machine", "unknown"])
    item_stays = serializers.BooleanField()
    failures = OnMachine(many=True)
    elsewhere = serializers.IntegerField(allow_null=True)
    elsewhere_years = serializers.FloatField(allow_null=True)


class PatternWhole(PatternTold):
    """A pattern with what stood around each failure, read from the record now."""

    evidence = PatternFailure(many=True)
    machines = PatternMachines()
    call_backs = CallBackTold(many=True)
    common = serializers.ListField(child=serializers.CharField())
    closings = PatternClosed(many=True)


class PatternClosingSent(StrictSerializer):
    """A cause or a reason, or both; `failures` as you saw them."""

    failures = WholeField(min_value=2, max_value=32767)
    cause = TextField(max_length=MOST_WORDS, required=False, allow_blank=True, default="")
    reason = TextField(max_length=MOST_WORDS, required=False, allow_blank=True, default="")
