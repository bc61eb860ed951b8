"""Signing in to the API: a device's key, and what happens after too many wrong passwords."""

from __future__ import annotations

import re
from collections.abc import Iterator
from hmac import compare_digest
from ipaddress import IPv6Address, ip_address, ip_network
from math import ceil
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import connection
from django.db.models import Model
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy, ngettext
from knox.auth import TokenAuthentication
from knox.crypto import hash_token
from knox.models import get_token_model
from knox.settings import CONSTANTS, knox_settings
from rest_framework import exceptions, status

from config.api.problems import MEDIA_TYPE, SIGN_IN
from config.api.spraying import wait_s
from config.languages import speak_to
from config.questions import Question, Row

KEY = re.compile(rb"[0-9a-f]{64}")
WITH_PORT = re.compile(r"\[(?P<six>[^]]*)\](?::\d+)?|(?P<four>[^:]*)(?::\d+)?|(?P<bare>.*)")
NO_KEY = gettext_lazy(
    "This key is none of ours, past its time or revoked, or its person is no longer here."
)


class KeyAuthentication(TokenAuthentication):
    """``Authorization: Token …``, one query a request; what is no key at all never reaches it."""

    def authenticate(self, request: Any) -> Any:
        """Whose key came along; None where none did, and one refusal for all that is no key."""
        try:
            found = super().authenticate(request)
        except exceptions.AuthenticationFailed as error:
            raise exceptions.AuthenticationFailed(f"{NO_KEY} {SIGN_IN}") from error
        if found:
            speak_to(request._request, found[0].language)
        return found

    def authenticate_credentials(self, token: bytes) -> tuple[Any, Any]:
        if not KEY.fullmatch(token):
            raise exceptions.AuthenticationFailed(NO_KEY)
        digest = hash_token(token.decode())
        for key in _keys(token.decode()[: CONSTANTS.TOKEN_KEY_LENGTH]):
            if compare_digest(digest, key.digest) and not self._cleanup_token(key):
                if knox_settings.AUTO_REFRESH and key.expiry:
                    self.renew_token(key)
                return self.validate_user(key)
        raise exceptions.AuthenticationFailed(NO_KEY)

    def _cleanup_token(self, auth_token: Any) -> bool:
        """Whether the key is past its time; others' keys are none of this request's business."""
        return auth_token.expiry is not None and auth_token.expiry < timezone.now()


def _columns(model: type[Model]) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields]


KEYS = Question(
    ["starts"],
    keys=lambda given: (
        get_token_model()
        .objects.order_by()
        .filter(token_key__among=given["starts"])
        .values(
            *_columns(get_token_model()), *(f"user__{each}" for each in _columns(get_user_model()))
        )
    ),
)
"""Keys by their start, with whose they are: asked with every request, so compiled once."""


def _keys(start: str) -> Iterator[Any]:
    """Keys that begin so, each with its ``user``."""
    for row in KEYS.ask(starts=[start])["keys"]:
        key = _made(get_token_model(), row)
        key.user = _made(get_user_model(), row, "user__")
        yield key


def _made(model: type[Model], row: Row, prefix: str = "") -> Any:
    names = _columns(model)
    return model.from_db(connection.alias, names, [row[f"{prefix}{name}"] for name in names])


NETWORK_BITS = 64
"""One household or phone has all addresses of such a network of IPv6 (RFC 6177)."""


def address_of(request: HttpRequest) -> str:
    """The sender's address: behind a proxy what it says, else the connection's own."""
    told = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.BEHIND_PROXY else ""
    # Only the last was written by our proxy; those before it anybody may have made up.
    found = WITH_PORT.fullmatch(told.rpartition(",")[2].strip())
    try:
        return str(ip_address((found["six"] or found["four"] or found["bare"]) if found else ""))
    except ValueError:
        return str(request.META.get("REMOTE_ADDR", ""))


def place_of(address: str) -> str:
    """What those share who are counted as one: an address, of IPv6 the first of its network.

    An IPv4 address that a socket for both tells as one of IPv6 (RFC 4291, 2.5.5.2) is itself.
    """
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if not isinstance(found, IPv6Address):
        return address
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return str(ip_network((found, NETWORK_BITS), strict=False).network_address)


def sender_of(request: HttpRequest) -> str:
    """The place from which somebody signs in."""
    return place_of(address_of(request))


def refuse_for_now(
    request: HttpRequest, response: HttpResponse | None = None, credentials: Any = None
) -> HttpResponse:
    """What too many wrong passwords from one place are answered with."""
    seconds = wait_s(request, credentials)
    minutes = ceil(seconds / 60)
    told = ngettext(
        "Too many wrong passwords from here; try again in %(count)s minute.",
        "Too many wrong passwords from here; try again in %(count)s minutes.",
        minutes,
    ) % {"count": minutes}
    headers = {"Retry-After": str(seconds)}
    code = status.HTTP_429_TOO_MANY_REQUESTS
    if request.path.startswith("/api/"):
        body = {
            "type": "about:blank", "title": "Too Many Requests", "status": code,
            "code": "locked_out", "detail": told,
        }  # fmt: skip
        return JsonResponse(body, status=code, content_type=MEDIA_TYPE, headers=headers)
    answer = render(request, "locked_out.html", {"told": told}, status=code)
    answer["Retry-After"] = headers["Retry-After"]
    return answer
