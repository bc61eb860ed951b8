"""The pictures of photos: to who may see the fan, as pictures and nothing that could run."""

from __future__ import annotations

import logging
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.cache import get_conditional_response
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.views import APIView

from config.api.filters import NoParametersMixin
from visits.models import Photo
from visits.services.photo_files import IMAGE, THUMBNAIL, read_file

log = logging.getLogger("django.request")
JPEG = "image/jpeg"
HEADERS = {
    # Asked for anew each time: a photo taken out, or somebody signed out, is seen no longer.
    "Cache-Control": "private, no-cache",
    # A browser fits a picture opened by itself into its window by styles of its own.
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


class PictureRenderer(JSONRenderer):
    """Lets who accepts nothing but pictures hear of a problem all the same, in JSON."""

    media_type = JPEG
    format = "jpg"


class PictureView(NoParametersMixin, APIView):
    """One file of a photo."""

    renderer_classes = [JSONRenderer, PictureRenderer]
    ending: str

    def serve(self, request: Request, id_: UUID) -> HttpResponse:
        """The file, or that it is the one its asker has already."""
        photo = get_object_or_404(Photo.objects.showable_to(request.user), pk=id_)
        return picture_answer(request._request, photo, self.ending)


def picture_answer(request: HttpRequest, photo: Photo, ending: str) -> HttpResponse:
    """The file of a photo that its asker may see, or that it is the one they have already.

    Raises Http404 where the file was lost.
    """
    tag = f'"{photo.stored_as.rpartition("/")[2]}{ending}"'
    answer = get_conditional_response(request, etag=tag) or _file(photo, ending)
    for name, value in {**HEADERS, "ETag": tag}.items():
        answer.headers[name] = value
    return answer


def _file(photo: Photo, ending: str) -> HttpResponse:
    try:
        data = read_file(photo, ending)
    except FileNotFoundError as error:
        log.exception("the file of photo %s is lost", photo.pk)
        raise Http404 from error
    name = f'inline; filename="{photo.pk}{ending}"'
    return HttpResponse(data, content_type=JPEG, headers={"Content-Disposition": name})


class ImageView(PictureView):
    """The large picture."""

    ending = IMAGE

    @extend_schema(responses={(200, JPEG): OpenApiTypes.BINARY, 304: None})
    def get(self, request: Request, id: UUID, **kwargs: Any) -> HttpResponse:
        """The picture, at most 2048 pixels a side; If-None-Match is heard."""
        return self.serve(request, id)


class ThumbnailView(PictureView):
    """The small picture."""

    ending = THUMBNAIL

    @extend_schema(responses={(200, JPEG): OpenApiTypes.BINARY, 304: None})
    def get(self, request: Request, id: UUID, **kwargs: Any) -> HttpResponse:
        """The picture, at most 320 pixels a side; If-None-Match is heard."""
        return self.serve(request, id)
