"""What readings mean, now, for the asking: nothing is stored."""

from __future__ import annotations

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.problems import InvalidError, faults_in
from fleet.api.fans import FeedSerializer
from fleet.api.fields import FlagField
from fleet.api.machines import MachineSerializer
from fleet.api.register import StrictSerializer
from fleet.models import Feed, Machine
from fleet.quantities import QUANTITIES
from visits.api.examples import JUDGEMENT, UNBALANCE, VOLTS, sent, told
from visits.api.looks import ContextSent, ReadingsSent, SeenSent
from visits.api.shapes import VERDICTS, WORST, Coded, Judged
from visits.api.told import fault_of, tell_cautions, tell_judgement, worst_of
from visits.judging import FEED_COLUMNS, PLATE_COLUMNS, feed_of, judge_row, plate_of
from visits.payload.complaints import Complaint, Complaints
from visits.payload.fields import Fields
from visits.payload.readings import Readings, read_readings
from visits.services.cautions import Caution

ASKED = {
    "readings": {"volts_ab": 231, "volts_bc": "229 V", "volts_ca": 222},
    "seen": {"hinge": "broken"},
    "plate": {"motor_type": "three_phase", "volts": "208-230/460"},
    "feed": {"connected_volts": "230", "connected_confirmed": True},
}
JUDGED = {"worst": "stop", "judgements": [VOLTS, UNBALANCE, JUDGEMENT], "cautions": []}


def _part(shape: Any) -> serializers.Field[Any, Any, Any, Any]:
    """A part that is read as a check's is."""

    class Part(serializers.Field[Any, Any, Any, Any]):
        def to_internal_value(self, data: Any) -> Any:
            return data

    return extend_schema_field(shape)(Part)(required=False)


@extend_schema_field({"type": ["string", "number", "boolean"]})
class Unread(serializers.Field[Any, Any, Any, Any]):
    """A single value that nothing is judged by."""

    default_error_messages = {"invalid": "this is no single value; leave it out"}

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, (dict, list)):
            self.fail("invalid")
        return data


class AsTold(StrictSerializer):
    """What the register tells may be sent as it is; ``unread`` names what nothing is judged by."""

    unread: ClassVar[frozenset[str]]

    def get_fields(self) -> dict[str, Any]:
        unread = {
            name: Unread(required=False, allow_null=True, help_text="nothing is judged by it")
            for name in sorted(self.unread)
        }
        return super().get_fields() | unread

    def to_internal_value(self, data: Any) -> Any:
        values = super().to_internal_value(data)
        return {name: value for name, value in values.items() if name not in self.unread}


class PlateAsked(AsTold, MachineSerializer):
    """A nameplate, as far as it was read: these members, or a machine as the register tells it."""

    unread = frozenset(MachineSerializer.Meta.fields) - {*PLATE_COLUMNS}

    class Meta(MachineSerializer.Meta):
        fields = list(PLATE_COLUMNS)
        read_only_fields: list[str] = []


class FeedAsked(AsTold, FeedSerializer):
    """What feeds and controls the fan: these members, or a feed as the register tells it."""

    unread = frozenset(FeedSerializer.Meta.fields) - {*FEED_COLUMNS}

    class Meta(FeedSerializer.Meta):
        fields = list(FEED_COLUMNS)
        read_only_fields: list[str] = []


class AskedSerializer(StrictSerializer):
    """Readings as a check has them, and what explains them; all of it may be left out.

    ``slight_before``: vibration was felt slight at an earlier look already.
    """

    readings = _part(ReadingsSent)
    seen = _part(SeenSent)
    context = _part(ContextSent)  # type: ignore[assignment]  # a field
    plate = PlateAsked(required=False)
    feed = FeedAsked(required=False)
    slight_before = FlagField(required=False)


class Judgements(serializers.Serializer[Any]):
    """What the readings mean."""

    worst = serializers.ChoiceField(choices=VERDICTS, allow_blank=True, help_text=WORST)
    judgements = Judged(many=True)
    cautions = Coded(many=True)


class JudgeView(APIView):
    """Readings judged."""

    @extend_schema(
        request=AskedSerializer,
        responses=Judgements,
        examples=[
            sent("A supply out of balance, a broken hinge", ASKED),
            told("Verdicts", JUDGED),
        ],
    )
    def post(self, request: Request) -> Response:
        """What readings, nameplate, feed and context mean, with every limit's basis.

        Nothing is stored.  Without a plate what depends on it cannot be judged, and says so.
        """
        asked = AskedSerializer(data=request.data, context={"request": request})
        faults = [] if asked.is_valid() else [*faults_in(asked.errors, sent=request.data)]
        read, complaints = _read(asked.initial_data)
        if faults := [*map(fault_of, complaints), *faults]:
            raise InvalidError(faults)
        plate, feed = (asked.validated_data.get(part, {}) for part in ("plate", "feed"))
        judgements = judge_row(
            {**read.columns, "typed": read.typed},
            plate=plate_of(vars(Machine(**{"drive": "", **plate}))),
            feed=feed_of(vars(Feed(**feed))),
            slight_before=asked.validated_data.get("slight_before", False),
        )
        person: Any = request.user
        live = any(QUANTITIES[name].live for name in read.typed)
        cautions = (Caution("live_readings_unqualified"),)
        return Response({
            "worst": worst_of(judgements),
            "judgements": [tell_judgement(each) for each in judgements],
            "cautions": tell_cautions(
                cautions if live and not person.qualified_energised_work else ()
            ),
        })  # fmt: skip


def _read(body: Any) -> tuple[Readings, tuple[Complaint, ...]]:
    """What was read and seen, and what is wrong with that."""
    complaints = Complaints()
    told = body if isinstance(body, dict) else {}
    parts = {name: told[name] for name in ("readings", "seen", "context") if name in told}
    return read_readings(Fields(parts, "", complaints)), complaints.told()
