"""Failures counted by item, model and site, the fleet's curve, and fans tipped by crew."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.filters import NoParametersMixin, by_choice, by_flag, by_id
from fleet.models import Site
from schedules.api import count_examples as examples
from schedules.api.answers import Told
from schedules.api.count_shapes import BY, CrewsTold, CurveTold, FailuresCounted
from schedules.models import FailureTally, FleetCurve
from schedules.office import office
from schedules.patterns.tallying import ANY
from schedules.patterns.tipping import Crew, Step, crews_of
from schedules.wording.tallies import tally_text
from visits.api.examples import told
from visits.wording import ITEMS

ANY_ITEM = "any"


def _of_item(rows: QuerySet[FailureTally], item: str) -> QuerySet[FailureTally]:
    return rows.filter(item=ANY if item == ANY_ITEM else item)


class FailureCountsView(GenericAPIView[FailureTally]):
    """Failures counted."""

    serializer_class = FailuresCounted
    keyset = ("-stands_out", "failures", "pk")
    filters = {
        "by": by_choice("by", tuple(BY), "Counts by item, machine model or site."),
        "site": by_id("site", "Counts of one site.", Site.objects.visible_to),
        "item": by_choice(_of_item, (ANY_ITEM, *ITEMS), "Counts of one item, or of any item."),
        "stands_out": by_flag("stands_out", "Only those that stand out, or that do not."),
    }

    def get_queryset(self) -> QuerySet[FailureTally]:
        return FailureTally.objects.visible_to(self.request.user).select_related("site")

    @extend_schema(
        responses=FailuresCounted(many=True), examples=[told("A model", examples.COUNTED)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Two failures or more of an item by machine model, by site or over the whole fleet.

        What stands out comes first; that says that failures are many, not why. Owners are told of
        their own sites.
        """
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        for_us = getattr(request.user, "works_here", False)
        return self.get_paginated_response([_tell(row, for_us=for_us) for row in page or ()])


class FailureCurveView(NoParametersMixin, APIView):
    """The fleet's curve."""

    @extend_schema(responses=CurveTold, examples=[told("A fleet's", examples.CURVE)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """How often a fan has failed by so many years under watch; the company's people alone."""
        _for_the_company(request)
        row = FleetCurve.objects.order_by("pk").first() or FleetCurve(fans=0, failures=0)
        names = ("years", "watched", "mean", "lower", "upper")
        points = [dict(zip(names, point, strict=True)) for point in row.points]
        return Response({
            "fans": row.fans, "failures": row.failures, "as_of": row.as_of, "points": points,
        })  # fmt: skip


class CrewsView(NoParametersMixin, APIView):
    """In whose hands fans were tipped."""

    @extend_schema(responses=CrewsTold, examples=[told("Two crews", examples.CREWS)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Fans tipped at hood cleanings by crew, and how often one was worse at the look after.

        The company's people alone. Looks within 120 days before and 30 days after, of one machine,
        one tipping between; worse is act or stop after, neither before. That shows no cause.
        """
        _for_the_company(request)
        today = timezone.now().astimezone(office().zone).date()
        crews = [_tell_crew(each) for each in crews_of(today)]
        return Response({"as_of": today, "crews": crews})


def _for_the_company(request: Request) -> None:
    if not getattr(request.user, "works_here", False):
        raise NotFound


def _tell(row: FailureTally, *, for_us: bool) -> Told:
    """A count; what others' fans did is not told to an owner."""
    return {
        "id": row.pk,
        "by": row.by,
        "model": row.model,
        "site": {"id": row.site.pk, "name": row.site.name} if row.site else None,
        "item": row.item,
        "failures": row.failures,
        "positions": row.positions,
        "last_on": row.last_on,
        "stands_out": row.stands_out,
        "figures": row.figures if for_us else None,
        "as_of": row.as_of,
        "sentence": tally_text(row),
    }


def _tell_crew(crew: Crew) -> Told:
    return {
        "name": crew.name,
        "tipped": crew.tipped,
        "told": crew.told,
        "worse": len(crew.steps),
        "share": crew.share,
        "lower": crew.lower,
        "upper": crew.upper,
        "steps": [_tell_step(each) for each in crew.steps],
    }


def _tell_step(step: Step) -> Told:
    return {
        "fan": {"id": step.fan.pk, "tag": step.fan.tag},
        "site": {"id": step.fan.site_id, "name": step.fan.site.name},
        "cleaned_on": step.cleaned_on,
        "before_on": step.before_on,
        "after_on": step.after_on,
        "subjects": dict(step.subjects),
    }
