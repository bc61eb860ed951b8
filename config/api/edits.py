"""Edits that lose nobody else's: ETag on what is read, If-Match on what is changed."""

from __future__ import annotations

import json
from collections.abc import Callable
from hashlib import blake2b
from typing import Any

from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.problems import ProblemError
from config.collisions import in_one_transaction


def etag_of(told: Any) -> str:
    """A strong tag of what somebody was told: other words, other tag."""
    words = json.dumps(told, sort_keys=True, default=str)
    return f'"{blake2b(words.encode(), digest_size=12).hexdigest()}"'


class TaggedMixin:
    """For a view of one row: reads carry an ETag, edits ask for it back.

    A view gives ``get_object``, ``get_serializer`` and ``edit(row, values, request)``, which is a
    service's call.
    """

    asks_if_match = ("PATCH", "PUT", "DELETE")

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._told(self.get_serializer(self.get_object()).data, request)  # type: ignore[attr-defined]

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        def edit(row: Any) -> Any:
            form = self.get_serializer(row, data=request.data, partial=True)  # type: ignore[attr-defined]
            form.is_valid(raise_exception=True)
            return self.edit(row, form.validated_data, request)  # type: ignore[attr-defined]

        return self.changed(request, edit)

    def changed(self, request: Request, change: Callable[[Any], Any]) -> Response:
        """The row as ``change`` leaves it, if it is still what its sender has read."""

        @in_one_transaction
        def done() -> Any:
            row = self._held()
            must_match(request, etag_of(self.get_serializer(row).data))  # type: ignore[attr-defined]
            return change(row)

        return self._told(self.get_serializer(done()).data)  # type: ignore[attr-defined]

    def _held(self) -> Any:
        """The row, for nobody else to change until we are done."""
        row = self.get_object()  # type: ignore[attr-defined]
        return type(row)._default_manager.select_for_update(no_key=True).get(pk=row.pk)

    @staticmethod
    def _told(told: Any, request: Request | None = None) -> Response:
        tag = etag_of(told)
        known = request.headers.get("If-None-Match", "") if request is not None else ""
        if is_among(tag, known, weak=True):
            return Response(status=status.HTTP_304_NOT_MODIFIED, headers={"ETag": tag})
        return Response(told, headers={"ETag": tag})


def is_among(tag: str, given: str, *, weak: bool = False) -> bool:
    """Whether a header names the tag, or any by ``*`` (RFC 9110); ``weak``: weakened ones too."""
    named = [each.strip() for each in given.split(",")]
    return given.strip() == "*" or tag in named or (weak and f"W/{tag}" in named)


def must_match(request: Request, tag: str) -> None:
    """Refuse an edit of something else than what its sender has read."""
    given = request.headers.get("If-Match")
    if given is None:
        told = "Say with If-Match which state you change; the ETag of a GET tells it."
        raise ProblemError(428, "if_match_missing", told)
    if not is_among(tag, given):
        told = "It was changed since you read it; read it again and decide anew."
        raise ProblemError(412, "changed_meanwhile", told)
