"""Photos of visits: listed and looked up; the pictures are served beside."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_flag, by_id
from fleet.models import Fan, Site
from visits.api.examples import PHOTO, told
from visits.api.shapes import PhotoRecord
from visits.api.told import Told
from visits.api.whole import name_of, tell_fan
from visits.models import Photo, Visit

TOLD = (
    "id", "finding_id", "subject", "caption", "taken_at", "received_at", "width", "height", "bytes",
)  # fmt: skip


def tell_photo(photo: Photo, request: Request) -> Told:
    """A photo; its site, fan and people come with it."""

    def address(name: str) -> str:
        return request.build_absolute_uri(reverse(name, args=[photo.pk]))

    values = {name.removesuffix("_id"): getattr(photo, name) for name in TOLD}
    site = photo.visit.site
    return {
        **values,
        "visit": photo.visit_id,
        "site": {"id": site.pk, "name": site.name},
        "fan": tell_fan(photo.fan) if photo.fan else None,
        "recorded_by": name_of(photo.recorded_by),
        "image": address("photo_image"),
        "thumbnail": address("photo_thumbnail"),
        "withdrawn": _withdrawn(photo),
    }


def _withdrawn(photo: Photo) -> Told | None:
    if photo.withdrawn_at is None:
        return None
    by, reason = name_of(photo.withdrawn_by), photo.withdrawn_reason
    return {"at": photo.withdrawn_at, "by": by, "reason": reason}


def shown(rows: QuerySet[Photo]) -> QuerySet[Photo]:
    """Photos with what is told of them."""
    return rows.select_related("visit__site", "fan", "recorded_by", "withdrawn_by")


def and_withdrawn(rows: Any, wanted: bool) -> Any:
    """Photos that were taken out as well, or standing ones only."""
    return rows if wanted else rows.standing()


class PhotosView(generics.GenericAPIView[Photo]):
    """Photos listed, newest first."""

    serializer_class = PhotoRecord
    keyset: tuple[str, ...] = ("-received_at", "pk")
    filters: Any = {
        "withdrawn": by_flag(and_withdrawn, "True: also photos that were taken out."),
    }

    def get_queryset(self) -> QuerySet[Photo]:
        visible = Photo.objects.visible_to(self.request.user)
        return shown(visible if "withdrawn" in self.request.query_params else visible.standing())

    def listed(self, rows: QuerySet[Photo]) -> Response:
        page = self.paginate_queryset(self.filter_queryset(rows)) or ()
        return self.get_paginated_response([tell_photo(each, self.request) for each in page])


class PhotoListView(PhotosView):
    """Photos of all visits."""

    filters = {
        "site": by_id("visit__site", "Photos of one site.", Site.objects.visible_to),
        "fan": by_id("fan", "Photos of one fan.", Fan.objects.visible_to),
        **PhotosView.filters,
    }

    @extend_schema(responses=PhotoRecord(many=True), examples=[told("A hinge", PHOTO)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Photos, newest first; those that were taken out only when asked for."""
        return self.listed(self.get_queryset())


class PhotosOfVisitView(PhotosView):
    """Photos of one visit."""

    @extend_schema(responses=PhotoRecord(many=True), examples=[told("A hinge", PHOTO)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Photos of a visit and of those that it corrects, newest first."""
        visits = self.visit().and_those_corrected()
        return self.listed(self.get_queryset().filter(visit__in=visits))

    def visit(self) -> Visit:
        visible = Visit.objects.visible_to(self.request.user).select_related("site")
        return get_object_or_404(visible, pk=self.kwargs["visit"])


class PhotoView(generics.GenericAPIView[Photo]):
    """One photo."""

    lookup_field = "id"
    serializer_class = PhotoRecord

    def get_queryset(self) -> QuerySet[Photo]:
        return shown(Photo.objects.visible_to(self.request.user))

    @extend_schema(responses=PhotoRecord, examples=[told("A hinge", PHOTO)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """What is on record of a photo, and where its pictures are."""
        return Response(tell_photo(self.get_object(), request))
