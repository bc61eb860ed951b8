"""Why a fan may have failed, as the API tells it: hedged, with what to look at next."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.filters import NoParametersMixin
from fleet.failure_terms import CAUSES
from fleet.models import Fan
from schedules.causes.services import Explained, why_fan_failed
from schedules.engine.causes import BANDS, LookFor, Ranked
from schedules.wording.causes import cause_words, evidence_words, look_words, why_words
from visits.api.examples import told
from visits.api.shapes import Coded, FanNamed
from visits.api.told import Told


class CauseTold(serializers.Serializer[Any]):
    """A cause that may be; ``band`` is its word, ``chance`` a rough figure between 0 and 1.

    ``standing`` tells how well it is founded that this cause does this at all.
    """

    cause = serializers.ChoiceField(choices=list(CAUSES))
    name = serializers.CharField()
    band = serializers.ChoiceField(choices=list(BANDS))
    chance = serializers.FloatField(min_value=0, max_value=1)
    sentence = serializers.CharField(allow_blank=True)
    speaks_for = Coded(many=True)
    speaks_against = Coded(many=True)
    standing = serializers.CharField()
    confirmed = serializers.IntegerField(min_value=0)


class LookTold(Coded):
    """Something to look at next.

    ``live`` only by those recorded as qualified for energised work, to whom alone it is offered;
    ``electrical`` at opened, dead circuits by electrically qualified people.
    """

    live = serializers.BooleanField()
    electrical = serializers.BooleanField()


class FailureTold(serializers.Serializer[Any]):
    """A loss of function and what may have caused it, never determined until a person says so.

    ``unlisted`` is the chance left for something on no list.  ``cause`` is what somebody recorded.
    """

    finding = serializers.UUIDField()
    fan = FanNamed()
    item = serializers.CharField()
    failed_on = serializers.DateField()
    cause = serializers.CharField(allow_blank=True)
    determined = serializers.BooleanField()
    sentence = serializers.CharField()
    causes = CauseTold(many=True)
    unlisted = serializers.FloatField(min_value=0, max_value=1)
    next_looks = LookTold(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
    basis = serializers.CharField(allow_blank=True)


class FailuresTold(serializers.Serializer[Any]):
    """Losses of function whose cause nobody recorded, the newest of each item."""

    results = FailureTold(many=True)


EXAMPLE = {
    "finding": "5f0e7a52-5d0c-4c1e-9a51-1d2f0c9b0f01", "fan": {"id": 41, "tag": "EF-1"},
    "item": "switch", "failed_on": "2026-03-01", "cause": "", "determined": False,
    "sentence": "Why the disconnecting switch failed (Sun 1 Mar 2026) is not determined.",
    "causes": [
        {
            "cause": "vibration", "name": "vibration", "band": "most_likely", "chance": 0.81,
            "sentence": "For it: the fan was shaking.",
            "speaks_for": [{"code": "shaking", "sentence": "the fan was shaking"}],
            "speaks_against": [], "standing": "common practice", "confirmed": 0,
        }
    ],
    "unlisted": 0.08,
    "next_looks": [
        {
            "code": "feel_switch", "live": False, "electrical": False,
            "sentence": "Feel, its cover shut, whether the switch is crisp or loose.",
        }
    ],
    "cautions": [],
    "basis": "Reckoned from what is on record; odds are our choice or common practice, and part of "
    "them always stays with something on no list. Whoever finds the cause records it.",
}  # fmt: skip


class FanFailuresView(NoParametersMixin, APIView):
    """Why one fan may have failed."""

    @extend_schema(responses=FailuresTold, examples=[told("A switch", {"results": [EXAMPLE]})])
    def get(self, request: Request, fan: int) -> Response:
        """Losses of function of the last year whose cause nobody recorded, with causes by odds.

        Odds weigh what is on record; they determine nothing.  Live looks are offered only to people
        recorded as qualified for energised work.
        """
        person: Any = request.user
        row = Fan.objects.visible_to(person).filter(id=fan).select_related("site").first()
        if row is None:
            raise NotFound
        explained = why_fan_failed(
            row.pk,
            today=timezone.now().astimezone(row.site.zone).date(),
            reader=person,
        )
        named = {"id": row.pk, "tag": row.tag}
        return Response({"results": [tell_failure(each, named) for each in explained]})


def tell_failure(explained: Explained, fan: Told) -> Told:
    """One loss of function with its candidate causes; chances are rounded, being rough."""
    loss, why = explained.loss, explained.why
    said = why_words(why, loss.failed_on, loss.cause)
    known = why.known or {}
    return {
        "finding": str(loss.finding_id),
        "fan": fan,
        "item": loss.item,
        "failed_on": loss.failed_on.isoformat(),
        "cause": loss.cause,
        "determined": bool(loss.cause),
        "sentence": said.lead,
        "causes": [_tell_cause(cause, known) for cause in why.causes],
        "unlisted": round(why.unlisted, 2),
        "next_looks": [_tell_look(look) for look in why.looks],
        "cautions": list(said.cautions),
        "basis": said.last,
    }


def _tell_cause(cause: Ranked, known: Any) -> Told:
    said = cause_words(cause, known)
    return {
        "cause": cause.cause,
        "name": said.name,
        "band": cause.band,
        "chance": round(cause.chance, 2),
        "sentence": said.sentence,
        "speaks_for": _tell_pieces(cause.speaks_for, known),
        "speaks_against": _tell_pieces(cause.speaks_against, known),
        "standing": cause.standing,
        "confirmed": cause.confirmed,
    }


def _tell_pieces(codes: Any, known: Any) -> list[Told]:
    return [{"code": code, "sentence": evidence_words(code, there=known[code])} for code in codes]


def _tell_look(look: LookFor) -> Told:
    return {
        "code": look.code,
        "sentence": look_words(look),
        "live": look.live,
        "electrical": look.electrical,
    }
