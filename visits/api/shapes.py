"""The shapes of what the API tells of checks and visits, for its schema."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.quantities import GREASE_PLACES, QUANTITIES, VERDICT_ORDER
from visits.limits import STANDINGS
from visits.models import (
    Action,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    Photo,
    PlateReading,
    Recommendation,
    SystemInspection,
    Visit,
)

VERDICTS = tuple(VERDICT_ORDER)


class Named(serializers.Serializer[Any]):
    """Something of the register by its id and name."""

    id = serializers.IntegerField()
    name = serializers.CharField()


class FanNamed(serializers.Serializer[Any]):
    """A fan by its id and tag."""

    id = serializers.IntegerField()
    tag = serializers.CharField()


class Coded(serializers.Serializer[Any]):
    """A code and what it says."""

    code = serializers.CharField()
    sentence = serializers.CharField()


class BasisTold(serializers.Serializer[Any]):
    """Where a limit comes from and how well that is known."""

    standard = serializers.CharField()
    clause = serializers.CharField()
    edition = serializers.CharField()
    standing = serializers.ChoiceField(choices=STANDINGS)
    sentence = serializers.CharField()


@extend_schema_field({"type": ["number", "string", "null"]})
class NumberOrState(serializers.Field[Any, Any, Any, Any]):
    """A figure, or the code of a state; null is an open end."""


WORST = (
    "the worst verdict: cannot_judge where that would be within, but something told could not be "
    "judged; empty where there is none"
)


class Judged(serializers.Serializer[Any]):
    """What one reading or seen item means; ``value`` and ``limit`` are in ``unit``."""

    subject = serializers.CharField()
    item = serializers.CharField()
    quantity = serializers.CharField(help_text=f"one of {len(QUANTITIES)} readings, see the format")
    code = serializers.CharField()
    verdict = serializers.ChoiceField(choices=VERDICTS)
    value = NumberOrState()
    unit = serializers.CharField()
    limit = serializers.FloatField(allow_null=True)
    sentence = serializers.CharField()
    basis = BasisTold()
    arguments = serializers.DictField(child=serializers.JSONField())


class CheckJudged(serializers.Serializer[Any]):
    """A check's verdicts; ``left_out`` are items of the walk-through's list nobody answered."""

    fan = FanNamed()
    stage = serializers.ChoiceField(choices=["as_found", "as_left"])
    worst = serializers.ChoiceField(choices=VERDICTS, allow_blank=True, help_text=WORST)
    judgements = Judged(many=True)
    left_out = serializers.ListField(child=serializers.CharField())
    left_out_sentence = serializers.CharField(allow_blank=True)


class Typed(serializers.Serializer[Any]):
    """A reading as somebody typed it."""

    value = serializers.FloatField(required=False)
    unit = serializers.CharField(required=False)
    qualifier = serializers.CharField(required=False)


class ReadingRecord(serializers.Serializer[Any]):
    """A reading in the registry's unit and as typed; null where a meter showed over range."""

    quantity = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    typed = Typed(allow_null=True)


class CheckRecord(CheckJudged):
    """A check with all that was read and seen."""

    machine = serializers.IntegerField(allow_null=True)
    readings = ReadingRecord(many=True)
    seen = serializers.DictField(child=serializers.CharField())
    context = serializers.DictField(child=serializers.JSONField())  # type: ignore[assignment]  # a field
    lasting = serializers.ListField(child=serializers.CharField())
    recheck_days = serializers.DictField(child=serializers.DateField())
    switch_left = serializers.CharField(allow_blank=True)
    notes = serializers.CharField(allow_blank=True)


class ClosingRecord(serializers.ModelSerializer[Closing]):
    """Why a finding was closed."""

    class Meta:
        model = Closing
        fields = ["id", "closed_on", "reason"]


class FindingRecord(serializers.ModelSerializer[Finding]):
    """A fault somebody wrote down."""

    fan = FanNamed()
    closings = ClosingRecord(many=True)

    class Meta:
        model = Finding
        exclude = ["visit", "machine"]


class ActionRecord(serializers.ModelSerializer[Action]):
    """Work done."""

    fan = FanNamed()

    class Meta:
        model = Action
        fields = ["fan", "kind", "item", "part", "note"]


class DecisionRecord(serializers.ModelSerializer[Decision]):
    """An owner's answer."""

    class Meta:
        model = Decision
        fields = ["id", "subject", "answer", "decided_on", "not_before", "decided_by", "note"]


class SubjectDecisionRecord(DecisionRecord):
    """An owner's answer on a subject of a fan, to no advice on record."""

    fan = FanNamed()

    class Meta(DecisionRecord.Meta):
        fields = [*DecisionRecord.Meta.fields, "fan"]


class AdviceRecord(serializers.ModelSerializer[Recommendation]):
    """Advice and every answer to it."""

    fan = FanNamed()
    decisions = DecisionRecord(many=True)

    class Meta:
        model = Recommendation
        fields = ["id", "fan", "subject", "text", "cost", "decisions"]
        extra_kwargs = {"cost": {"help_text": f"about what it costs [{settings.CURRENCY}]"}}


class NotReachedRecord(serializers.ModelSerializer[NotReached]):
    """What the visit did not get at, and why."""

    fan = FanNamed()

    class Meta:
        model = NotReached
        fields = ["fan", "item", "reason", "note"]


class MadeSafeRecord(serializers.ModelSerializer[MadeSafe]):
    """A fan taken out of service."""

    fan = FanNamed()

    class Meta:
        model = MadeSafe
        fields = [
            "fan", "told", "lock_holder", "cook_line_stopped", "restarts_when", "promised_on",
        ]  # fmt: skip


class InspectionRecord(serializers.ModelSerializer[SystemInspection]):
    """A code inspection of a system."""

    system_name = serializers.CharField()

    class Meta:
        model = SystemInspection
        fields = ["system", "system_name", "qualified", "areas_not_cleaned"]


class PlateRecord(serializers.ModelSerializer[PlateReading]):
    """A plate read, and what became of it by field.

    ``filled`` went into the register; ``differs`` is what it says and what was read, ``refused``
    what was read and why it cannot be so: the office decides.
    """

    fan = FanNamed()
    machine_id = serializers.IntegerField(allow_null=True)
    read = serializers.DictField()
    filled = serializers.DictField(child=serializers.CharField())
    differs = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))
    refused = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))

    class Meta:
        model = PlateReading
        fields = ["fan", "machine_id", "read", "filled", "differs", "refused", "another"]


class CorrectionRecord(serializers.Serializer[Any]):
    """One correction: which record replaced which, why, by whom and when."""

    id = serializers.UUIDField()
    supersedes = serializers.UUIDField()
    reason = serializers.CharField()
    recorded_by = serializers.CharField(allow_blank=True)
    received_at = serializers.DateTimeField()


class VisitLine(serializers.ModelSerializer[Visit]):
    """A visit as listed; ``local_minute`` is null where the record gives no time of day.

    ``here`` is false for what others did, as it came with a first import.
    """

    site = Named()
    technician = serializers.CharField()
    superseded_by = serializers.UUIDField(allow_null=True)

    class Meta:
        model = Visit
        fields = [
            "id", "kind", "site", "began_at", "ended_at", "local_on", "local_minute",
            "technician", "here", "notes", "supersedes", "superseded_by", "correction_reason",
            "received_at",
        ]  # fmt: skip


class VisitRecord(VisitLine):
    """A visit whole."""

    recorded_by = serializers.CharField()
    corrections = CorrectionRecord(many=True)
    checks = CheckRecord(many=True)
    findings = FindingRecord(many=True)
    actions = ActionRecord(many=True)
    recommendations = AdviceRecord(many=True)
    decisions = SubjectDecisionRecord(many=True)
    not_reached = NotReachedRecord(many=True)
    made_safe = MadeSafeRecord(many=True)
    inspections = InspectionRecord(many=True)
    plates = PlateRecord(many=True)
    cautions = Coded(many=True)

    class Meta(VisitLine.Meta):
        fields = [
            *VisitLine.Meta.fields, "recorded_by", "corrections", "checks", "findings", "actions",
            "recommendations", "decisions", "not_reached", "made_safe", "inspections", "plates",
            "cautions",
        ]  # fmt: skip


class EventRecord(serializers.ModelSerializer[Event]):
    """Something that happened at a site, to one of its systems, or to one fan; days are local."""

    site = Named()
    system = Named(allow_null=True)
    fan = FanNamed(allow_null=True)
    tipped = FanNamed(many=True)
    recorded_by = serializers.CharField(allow_blank=True)
    superseded_by = serializers.UUIDField(allow_null=True)
    places_cleaned = serializers.ListField(child=serializers.ChoiceField(choices=GREASE_PLACES))
    places_not_cleaned = serializers.ListField(child=serializers.ChoiceField(choices=GREASE_PLACES))

    class Meta:
        model = Event
        fields = [
            "id", "kind", "site", "system", "fan", "started_on", "started_minute", "ended_on",
            "ended_minute", "crew", "tipped", "places_cleaned", "places_not_cleaned",
            "wheel_cleaned", "resets", "running_on", "note", "supersedes", "superseded_by",
            "correction_reason", "recorded_by", "received_at",
        ]  # fmt: skip


class WithdrawalRecord(serializers.Serializer[Any]):
    """When, by whom and why a mistaken photo was taken out."""

    at = serializers.DateTimeField()
    by = serializers.CharField(allow_blank=True)
    reason = serializers.CharField()


class PhotoRecord(serializers.ModelSerializer[Photo]):
    """A photo of a visit; ``width`` and ``height`` [px] and ``bytes`` are those of ``image``."""

    site = Named()
    fan = FanNamed(allow_null=True)
    recorded_by = serializers.CharField(allow_blank=True)
    image = serializers.URLField()
    thumbnail = serializers.URLField()
    withdrawn = WithdrawalRecord(allow_null=True)

    class Meta:
        model = Photo
        fields = [
            "id", "visit", "site", "fan", "finding", "subject", "caption", "taken_at",
            "recorded_by", "received_at", "width", "height", "bytes", "image", "thumbnail",
            "withdrawn",
        ]  # fmt: skip
