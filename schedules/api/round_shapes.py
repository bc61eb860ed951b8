"""The shapes of what a phone takes along, for the API's schema."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.quantities import VERDICT_ORDER

VERDICTS = list(VERDICT_ORDER)


class PersonTold(serializers.Serializer[Any]):
    """Who is signed in; live readings are offered only where ``may_work_live``."""

    id = serializers.IntegerField()
    login = serializers.CharField()
    name = serializers.CharField()
    language = serializers.CharField()
    may_inspect = serializers.BooleanField()
    may_work_live = serializers.BooleanField()


class SiteFound(serializers.Serializer[Any]):
    """A site by what people call it."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    owner = serializers.CharField()
    address = serializers.CharField(allow_blank=True)


class SitesFound(serializers.Serializer[Any]):
    """Sites that somebody looked for."""

    sites = SiteFound(many=True)


class RoundStopTold(serializers.Serializer[Any]):
    """One coming; ``arrive`` and ``leave`` are of the clock of ``time_zone``."""

    order = serializers.IntegerField()
    key = serializers.UUIDField()
    arrive = serializers.CharField()
    leave = serializers.CharField()
    site = serializers.IntegerField()
    fans = serializers.ListField(child=serializers.IntegerField())
    why = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField(allow_blank=True)


class ContactTold(serializers.Serializer[Any]):
    """Whom to call, for what."""

    duty = serializers.CharField(allow_blank=True)
    name = serializers.CharField()
    phone = serializers.CharField()
    note = serializers.CharField(allow_blank=True)


class SpotTold(serializers.Serializer[Any]):
    """A fan on the plan: the centre of its mark, and its tag as far as that has room."""

    fan = serializers.IntegerField()
    tag = serializers.CharField()
    label: Any = serializers.CharField()
    place = serializers.CharField(allow_blank=True)
    x = serializers.FloatField()
    y = serializers.FloatField()


class PlanTold(serializers.Serializer[Any]):
    """The roof drawn, north up, from north to south; ``unplaced`` are tags of fans not on it.

    ``across_m`` is its width [m], 0 where that says nothing; ``pushed``: some lie closer.
    """

    width = serializers.FloatField()
    height = serializers.FloatField()
    hatch = serializers.ListField(child=serializers.FloatField())
    spots = SpotTold(many=True)
    unplaced = serializers.ListField(child=serializers.CharField())
    across_m = serializers.IntegerField()
    pushed = serializers.BooleanField()


class SystemTold(serializers.Serializer[Any]):
    """An exhaust system by its name."""

    id = serializers.IntegerField()
    name = serializers.CharField()


class RoundSiteTold(serializers.Serializer[Any]):
    """A roof, the way up and whom to call."""

    id = serializers.IntegerField()
    owner = serializers.CharField()
    name = serializers.CharField()
    address = serializers.CharField(allow_blank=True)
    time_zone = serializers.CharField()
    latitude = serializers.FloatField(allow_null=True)
    longitude = serializers.FloatField(allow_null=True)
    access = serializers.ListField(child=serializers.CharField())
    contacts = ContactTold(many=True)
    plan = PlanTold(allow_null=True)
    systems = SystemTold(many=True)


class BoundTold(serializers.Serializer[Any]):
    """Values above ``low`` and up to ``high``; null is without end.

    ``high`` itself belongs here where ``high_in``, else to the next; both within a share of the
    form's ``nearly``.  Where the two are equal it is that value alone.
    """

    verdict = serializers.ChoiceField(choices=VERDICTS)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    high_in = serializers.BooleanField(required=False)


class LimitTold(serializers.Serializer[Any]):
    """By what a reading is judged: its intervals, and the limit in words with its source."""

    bounds = BoundTold(many=True, required=False)
    over = serializers.ChoiceField(
        choices=VERDICTS, required=False, help_text="what over range without a figure gets"
    )
    limit_words = serializers.CharField(required=False)
    note = serializers.CharField(required=False)
    basis = serializers.CharField(required=False)


class VariantTold(LimitTold):
    """Another way to be judged, where all of ``when`` holds.

    ``unit``: the figure is compared as typed in that unit; the names of context fields as said;
    ``volts``: of the lines in ``fields`` those read have a mean above the first of ``mean``, at
    most at the second, and with ``near`` each of its fields is read and lies ``between``;
    ``less``: that reading is there, and is taken off before the figure is compared.
    """

    when = serializers.DictField()


class RoundFieldTold(LimitTold):
    """One thing to read or see at this fan; offered only where it stands among its fields."""

    last = serializers.DictField(required=False)
    siblings = serializers.CharField(required=False)
    context = serializers.DictField(required=False)  # type: ignore[assignment]  # a field
    states = serializers.DictField(
        required=False, help_text="states with another verdict here than in the form"
    )
    variants = VariantTold(many=True, required=False)


class DerivedTold(LimitTold):
    """A verdict on several readings, of which ``how`` makes one figure."""

    code = serializers.CharField()
    fields = serializers.ListField(child=serializers.CharField())  # type: ignore[assignment]
    how = serializers.CharField()
    when = serializers.DictField(required=False)
    factors = serializers.DictField(
        required=False, help_text="by whole degrees `from` one on; even in ratio between two"
    )


class RoundFanTold(serializers.Serializer[Any]):
    """One fan, with its past, what is open and the limits as they hold for it."""

    id = serializers.IntegerField()
    site = serializers.IntegerField()
    system = serializers.IntegerField()
    tag = serializers.CharField()
    place = serializers.CharField(allow_blank=True)
    machine = serializers.IntegerField(allow_null=True)
    motor = serializers.CharField(allow_blank=True)
    control = serializers.CharField()
    belt = serializers.BooleanField()
    plate = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))
    plate_fields = serializers.DictField()
    due = serializers.DictField()
    record = serializers.ListField(
        child=serializers.DictField(),
        help_text="newest first; `sent` of one's own is the payload that a correction begins with",
    )
    happened = serializers.ListField(
        child=serializers.DictField(), help_text="events since the last visit, latest first"
    )
    findings = serializers.ListField(child=serializers.DictField())
    advice = serializers.ListField(child=serializers.DictField())
    made_safe = serializers.CharField(allow_null=True)
    cautions = serializers.ListField(child=serializers.CharField())
    look = serializers.ListField(child=serializers.CharField())
    read = serializers.ListField(child=serializers.CharField())
    left_to_others = serializers.ListField(child=serializers.CharField())
    fields = serializers.DictField(child=RoundFieldTold())  # type: ignore[assignment]
    derived = DerivedTold(many=True)
    context = serializers.DictField()  # type: ignore[assignment]  # a field
    causes = serializers.DictField()
    waiting = serializers.CharField(allow_null=True)
    thumbnails = serializers.ListField(child=serializers.DictField())
    siblings = serializers.ListField(child=serializers.CharField())


class RoundTaken(serializers.Serializer[Any]):
    """What a phone takes along to work without signal, in the reader's language.

    ``form`` says what is asked in which order, ``terms`` the codes of records with their words.
    """

    format = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    day = serializers.DateField()
    time_zone = serializers.CharField()
    person = PersonTold()
    stops = RoundStopTold(many=True)
    sites = RoundSiteTold(many=True)
    fans = RoundFanTold(many=True)
    form = serializers.DictField()
    terms = serializers.DictField()
