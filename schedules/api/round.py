"""What a phone takes along to a roof without signal: a round, or one site, with all its fans."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Q
from django.shortcuts import get_object_or_404
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.edits import etag_of, is_among
from config.api.filters import Filter, NamedFilters, NoParametersMixin, by_text
from fleet.models import Fan, Person, Site
from schedules.api.answers import Told
from schedules.api.round_examples import ONE_SITE, PERSON, ROUND, SITES
from schedules.api.round_shapes import PersonTold, RoundTaken, SitesFound
from schedules.phone.gathering import PackFile, own_round, read_round, read_site
from schedules.phone.pack import tell_pack, tell_person
from visits.api.examples import told

MOST_SITES = 20


def _day(text: str) -> date:
    day = date.fromisoformat(text)
    if day.isoformat() != text:
        raise ValueError(_("no such day; write it as 2026-11-26"))
    return day


class TakenView(GenericAPIView[Any]):
    """Something to take along; owners have no such address."""

    pagination_class = None
    serializer_class: Any = RoundTaken

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        is_taken = request.method in self.allowed_methods  # 405 follows for any other
        if is_taken and not _person(request).works_here:
            raise NotFound

    def taken(self, file: PackFile, request: Request) -> Response:
        """All of it, or 304 where nothing but the moment differs."""
        with translation.override(file.person.language):
            pack = tell_pack(file)
        tag = etag_of(pack)
        if is_among(tag, request.headers.get("If-None-Match", ""), weak=True):
            return Response(status=status.HTTP_304_NOT_MODIFIED, headers={"ETag": tag})
        return Response({**pack, "made_at": file.now}, headers={"ETag": tag})


def _person(request: Request) -> Person:
    person: Any = request.user
    return person


class RoundView(TakenView):
    """A technician's own day."""

    filters = {
        "day": Filter(
            _day, lambda values, day: {**values, "day": day}, "The day of the round.",
            {"type": "string", "format": "date"},
        )
    }  # fmt: skip

    @extend_schema(
        operation_id="round", responses=RoundTaken, examples=[told("A round of one fan", ROUND)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Your own published round of a day, with all fans of its roofs, to work without signal.

        Without `day` it is today's, by the clock of the office.  404 where nothing is published
        for you that day.  Readings are compared with `bounds`; what is sent from the phone is
        judged by the server all the same.  `If-None-Match` with the ETag is answered 304 while
        nothing changed.
        """
        asked = NamedFilters().filter_queryset(request, {}, self)
        now = timezone.now()
        row = own_round(_person(request), asked.get("day"), now)
        if row is None:
            raise NotFound
        return self.taken(read_round(row, _person(request), now), request)


class RoundSiteView(NoParametersMixin, TakenView):
    """One site."""

    @extend_schema(
        operation_id="round_site", responses=RoundTaken, examples=[told("One site", ONE_SITE)]
    )
    def get(self, request: Request, site: int, *args: Any, **kwargs: Any) -> Response:
        """One site with all its fans, in the shape of a round without stops."""
        person = _person(request)
        rows = Site.objects.visible_to(person).select_related("owner")
        return self.taken(
            read_site(get_object_or_404(rows, pk=site), person, timezone.now()), request
        )


class RoundFanView(NoParametersMixin, TakenView):
    """The site of one fan."""

    @extend_schema(
        operation_id="round_fan", responses=RoundTaken, examples=[told("Its site", ONE_SITE)]
    )
    def get(self, request: Request, fan: int, *args: Any, **kwargs: Any) -> Response:
        """The site at which a fan stands, as its label is scanned."""
        person = _person(request)
        rows = Fan.objects.visible_to(person).select_related("site__owner")
        site = get_object_or_404(rows, pk=fan).site
        return self.taken(read_site(site, person, timezone.now()), request)


def _searched(rows: Any, text: str) -> Any:
    by_place = Q(name__icontains=text) | Q(address__icontains=text)
    return rows.filter(by_place | Q(owner__name__icontains=text))


class RoundSitesView(TakenView):
    """Sites to take along."""

    serializer_class = SitesFound
    filters = {
        "search": by_text(_searched, "Part of a site's name or address, or of its owner's name.")
    }

    @extend_schema(
        operation_id="round_sites", responses=SitesFound, examples=[told("Sites", SITES)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Sites by name whose name, address or owner holds what is searched for: at most twenty."""
        rows = Site.objects.visible_to(_person(request)).select_related("owner")
        found = NamedFilters().filter_queryset(request, rows, self).order_by("name", "pk")
        return Response({"sites": [_named(site) for site in found[:MOST_SITES]]})


def _named(site: Site) -> Told:
    return {
        "id": site.pk, "name": site.name, "owner": site.owner.name, "address": site.address,
    }  # fmt: skip


class RoundPersonView(NoParametersMixin, TakenView):
    """Who is signed in on this phone."""

    serializer_class = PersonTold

    @extend_schema(
        operation_id="round_person", responses=PersonTold, examples=[told("A person", PERSON)]
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Who is signed in, as a round tells it: asked before a phone sends what it has."""
        person = _person(request)
        return Response(tell_person(person))
