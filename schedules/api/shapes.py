"""The shapes of what the API tells of dates, for its schema."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from rest_framework import serializers

from schedules.api.failures import FailureTold
from schedules.due.lists import SECTIONS
from schedules.engine.record import RULES
from schedules.notices.asked_now import LINK_STATES
from visits.api.shapes import CheckJudged, Coded, FanNamed, Named

RULE_CODES = [name for name in RULES if name]


class DateTold(serializers.Serializer[Any]):
    """One rule's date with its reasons."""

    rule = serializers.ChoiceField(choices=RULE_CODES)
    why = serializers.CharField()
    due_on = serializers.DateField()
    overdue_after = serializers.DateField()
    name = serializers.CharField()
    sentence = serializers.CharField()
    when = serializers.CharField()
    basis = serializers.CharField()


class Dates(serializers.Serializer[Any]):
    """When a fan is due: the driving rule's date first in ``dates``, then the runners-up.

    ``is_current`` is false while something entered since is being reckoned, or where the record
    could not be; ``fault`` then says why.
    """

    due_on = serializers.DateField(allow_null=True)
    due_rule = serializers.ChoiceField(choices=RULE_CODES, allow_blank=True)
    overdue_after = serializers.DateField(allow_null=True)
    overdue_rule = serializers.ChoiceField(choices=RULE_CODES, allow_blank=True)
    not_before = serializers.DateField(allow_null=True)
    worst_open = serializers.ChoiceField(choices=["watch", "act", "stop"], allow_blank=True)
    sentence = serializers.CharField()
    dates = DateTold(many=True)
    cannot_tell = Coded(many=True)
    fault = serializers.CharField(allow_blank=True)
    is_current = serializers.BooleanField()


class FanDates(Dates):
    """A fan and its dates; ``stop`` says why it must not run, whatever date comes first."""

    fan = FanNamed()
    stop = serializers.CharField(allow_blank=True)


class LoggedAnswer(serializers.Serializer[Any]):
    """What something logged moved; ``reckoned`` is false where dates follow later."""

    id = serializers.UUIDField()
    created = serializers.BooleanField()
    reckoned = serializers.BooleanField()
    due = FanDates(many=True)


class LetterTold(serializers.Serializer[Any]):
    """What became of the letter with a link that the owner asked for; its address is masked."""

    state = serializers.ChoiceField(choices=list(LINK_STATES))
    sentence = serializers.CharField()


class PlateTold(serializers.Serializer[Any]):
    """A plate read: by field what the register took, what it has otherwise, what cannot be so."""

    fan = FanNamed()
    filled = serializers.DictField(child=serializers.CharField())
    differs = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))
    refused = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))
    sentences = serializers.ListField(child=serializers.CharField())


class VisitAnswer(LoggedAnswer):
    """What a visit means and what it moved; ``superseded`` once a correction has replaced it.

    ``letter`` is null where no decision on it was ``by_link``.
    """

    superseded = serializers.BooleanField()
    checks = CheckJudged(many=True)
    cautions = Coded(many=True)
    failures = FailureTold(many=True)
    letter = LetterTold(allow_null=True)
    plates = PlateTold(many=True)


class AnyAnswer(LoggedAnswer):
    """The answer to a visit, or to an event, which has no checks."""

    superseded = serializers.BooleanField(required=False)
    checks = CheckJudged(many=True, required=False)
    cautions = Coded(many=True, required=False)
    failures = FailureTold(many=True, required=False)
    letter = LetterTold(required=False, allow_null=True)
    plates = PlateTold(many=True, required=False)


class WaitingOf(serializers.Serializer[Any]):
    """What waiting so many weeks may cost, on average, and how that was reckoned."""

    low = serializers.IntegerField(help_text=f"[{settings.CURRENCY}]")
    high = serializers.IntegerField(help_text=f"[{settings.CURRENCY}]")
    weeks = serializers.FloatField()
    chance = serializers.FloatField(help_text="of a failure meanwhile, 0 to 1")
    reckoned = serializers.CharField()


class DueLineTold(FanDates):
    """A fan of the due list: where it is, how far its day is, what else must be said.

    ``section`` is ``overdue``, ``week``, ``later`` or ``undated``; days count from the site's
    today.
    """

    place = serializers.CharField(allow_blank=True)
    site = Named()
    owner = Named()
    section = serializers.ChoiceField(choices=[*SECTIONS, "undated"])
    days_left = serializers.IntegerField(allow_null=True)
    days_over = serializers.IntegerField()
    notes = serializers.ListField(child=serializers.CharField())
    waiting = WaitingOf(
        allow_null=True, help_text="null of a fan that does not run, or of which nothing is known"
    )


class DuePageTold(serializers.Serializer[Any]):
    """A page of the due list; ``next`` is null on the last one."""

    next = serializers.URLField(allow_null=True)
    results = DueLineTold(many=True)


class DayByRule(serializers.Serializer[Any]):
    """A due day and the rule that gave it."""

    due_on = serializers.DateField(allow_null=True)
    rule = serializers.ChoiceField(choices=RULE_CODES, allow_blank=True)


class ChangeTold(serializers.Serializer[Any]):
    """A due day that moved, or the rule that gives it."""

    fan = FanNamed()
    site = Named()
    changed_at = serializers.DateTimeField()
    before = DayByRule()
    after = DayByRule()


class BookingTold(serializers.Serializer[Any]):
    """A technician at a site on a local day, at minutes of that day or (null) any time.

    ``until_minute`` at or before ``from_minute`` is on the next day.
    """

    id = serializers.UUIDField()
    site = Named()
    technician = Named(allow_null=True)
    day = serializers.DateField()
    from_minute = serializers.IntegerField(allow_null=True)
    until_minute = serializers.IntegerField(allow_null=True)
    note = serializers.CharField(allow_blank=True)
    sequence = serializers.IntegerField()
    changed_at = serializers.DateTimeField()
    withdrawn_at = serializers.DateTimeField(allow_null=True)
    withdrawn_reason = serializers.CharField(allow_blank=True)
