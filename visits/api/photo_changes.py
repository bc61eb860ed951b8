"""Photos sent and taken out."""

from __future__ import annotations

import logging
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import status
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from config.api.access import COMPANY, ByRole
from config.api.bodies import BytesParser, PictureParser
from config.api.problems import InvalidError, ProblemError, parameter_fault
from config.trouble import trouble_of
from fleet.api.fields import TextField
from fleet.api.register import StrictSerializer
from visits.api.examples import PHOTO, REASON, WITHDRAWN, sent, told
from visits.api.photos import PhotosOfVisitView, shown, tell_photo
from visits.api.shapes import PhotoRecord
from visits.api.told import LISTS
from visits.models import Photo, Visit
from visits.payload import Complaint, PayloadError
from visits.payload.visit import ABOUT
from visits.pictures import MOST_BYTES, PictureError
from visits.services import Attached, PayloadConflictError, attach_photo, withdraw_photo

log = logging.getLogger("django.request")
PICTURES = ("image/jpeg", "image/png", "image/webp", "application/octet-stream")


def asked(name: str, meaning: str, kind: Any = str, **more: Any) -> OpenApiParameter:
    """A parameter beside the picture."""
    return OpenApiParameter(name, kind, OpenApiParameter.QUERY, description=meaning, **more)


WORDS = [
    asked("id", "A UUID made by the sender and kept.", OpenApiTypes.UUID, required=True),
    asked("fan", "The tag of a fan that the visit tells of."),
    asked("finding", "A finding of the visit; it names the fan.", OpenApiTypes.UUID),
    asked("subject", "What of the fan it shows.", enum=ABOUT),
    asked("caption", "At most 250 characters."),
    asked("taken_at", "2026-03-02T09:12-06:00, or 2026-03-02T09:12 (the site's clock)."),
]


class VisitPhotosView(PhotosOfVisitView):
    """Photos of one visit, and new ones."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    parser_classes = [PictureParser, BytesParser]
    most_bytes = MOST_BYTES
    refusals = {"POST": (409,)}

    @extend_schema(
        parameters=WORDS,
        request=dict.fromkeys(PICTURES, OpenApiTypes.BINARY),
        responses={201: PhotoRecord, 200: PhotoRecord},
        examples=[told("A hinge", PHOTO, 201), told("Stored already", PHOTO)],
    )
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add a photo to a visit on record: the file is the body, its words are parameters.

        JPEG, PNG or WebP of at most 20 MB, told by content; kept as JPEG of at most 2048 pixels a
        side, upright, without position or anything else that came with it.  The same again is
        answered 200 with the stored photo, another one under its id 409.  A visit that is not
        logged yet is 404: log it, then send its photos again.
        """
        visit, words = self.visit(), _words(request)
        attached = _attach(visit, words, request)
        answer = tell_photo(attached.photo, request)
        address = request.build_absolute_uri(reverse("photo", args=[attached.photo.pk]))
        code = status.HTTP_201_CREATED if attached.created else status.HTTP_200_OK
        return Response(answer, status=code, headers={"Location": address})


def _attach(visit: Visit, words: dict[str, str], request: Request) -> Attached:
    """Keep the photo; a ProblemError says why it cannot be."""
    by: Any = request.user
    data = request.data if isinstance(request.data, bytes) else b""  # nothing was sent
    try:
        return attach_photo(visit=visit, told=words, data=data, by=by, now=timezone.now())
    except PayloadError as error:
        raise InvalidError([_fault(each) for each in error.complaints]) from error
    except PictureError as error:
        raise InvalidError([_picture_fault(error)]) from error
    except PayloadConflictError as error:
        told = _("This id already belongs to another photo; send it under a new id.")
        raise ProblemError(409, "id_taken", told) from error
    except OSError as error:
        if trouble_of(error):
            raise  # told as everywhere
        log.exception("a photo of visit %s could not be kept", visit.pk)
        told = _("It cannot be kept now; send it later.")
        raise ProblemError(503, "not_kept", told) from error


def _words(request: Request) -> dict[str, str]:
    """What is told beside the picture, each once."""
    listed = dict(request.query_params.lists())
    if twice := [name for name, texts in listed.items() if len(texts) > 1]:
        raise InvalidError(
            [parameter_fault(name, _("told more than once"), _("tell it once")) for name in twice]
        )
    words = {name: texts[0] for name, texts in listed.items()}
    if "T" in words.get("taken_at", ""):
        # A plus sign in an address stands for a space unless it is written %2B.
        words["taken_at"] = words["taken_at"].replace(" ", "+")
    return words


def _fault(told: Complaint) -> dict[str, Any]:
    """A complaint about the words beside a picture, or about the whole."""
    told = told.told_at(LISTS)
    if not told.pointer:
        return {"pointer": "#", "problem": told.problem, "remedy": told.remedy}
    return parameter_fault(told.pointer[1:], told.problem, told.remedy, told.seen or None)


def _picture_fault(error: PictureError) -> dict[str, Any]:
    seen = {"seen": error.seen} if error.seen else {}
    problem, remedy = error.told_by(_)
    return {"pointer": "#", "problem": problem, **seen, "remedy": remedy}


class WithdrawalSent(StrictSerializer):
    """Why a photo is taken out."""

    reason = TextField(max_length=250)


class WithdrawalView(APIView):
    """A mistaken photo taken out."""

    permission_classes = [ByRole]
    changed_by = COMPANY
    refusals = {"POST": (409,)}

    @extend_schema(
        request=WithdrawalSent,
        responses=PhotoRecord,
        examples=[
            sent("The wrong roof", {"reason": REASON}),
            told("Taken out", WITHDRAWN),
        ],
    )
    def post(self, request: Request, **kwargs: Any) -> Response:
        """Take a photo out, which stays on record; by who sent it, or by who plans.

        Its pictures are shown to those who plan only.  The same again changes nothing.
        """
        by: Any = request.user
        photo = get_object_or_404(Photo.objects.visible_to(by), pk=self.kwargs["id"])
        if not photo.may_be_withdrawn_by(by):
            raise PermissionDenied(_("Only who sent a photo, or who plans, takes it out."))
        form = WithdrawalSent(data=request.data)
        form.is_valid(raise_exception=True)
        reason = form.validated_data["reason"]
        try:
            withdraw_photo(photo=photo, reason=reason, by=by, now=timezone.now())
        except PayloadConflictError as error:
            told_already = _("It was taken out already, for another reason; read it again.")
            raise ProblemError(409, "withdrawn_already", told_already) from error
        return Response(tell_photo(shown(Photo.objects.all()).get(pk=photo.pk), request))
