"""What the API says of itself: OpenAPI 3.1, with the problems that every operation may answer."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse
from rest_framework import serializers

from config.api.filters import NamedFilters
from config.api.problems import MEDIA_TYPE


class FaultSerializer(serializers.Serializer[Any]):
    """One thing that is wrong with what was sent."""

    pointer = serializers.CharField(
        required=False, help_text="into the body, of a batch into the record: #/checks/0/fan"
    )
    parameter = serializers.CharField(required=False, help_text="or the parameter it is about")
    problem = serializers.CharField()
    seen = serializers.CharField(required=False, help_text="the value that was sent")
    remedy = serializers.CharField(required=False, help_text="what to do")


class ProblemSerializer(serializers.Serializer[Any]):
    """RFC 9457; ``code`` and ``title`` are for programs, ``detail`` is for people."""

    type = serializers.CharField(default="about:blank")
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
    detail = serializers.CharField()
    errors = FaultSerializer(many=True, required=False)  # type: ignore[assignment]  # a field
    request_id = serializers.CharField(
        required=False, help_text="of a fault of ours: what its lines in our log bear"
    )


PROBLEMS = {
    400: "What was sent cannot be taken; nothing was stored.",
    401: "Nobody is signed in, or the key is none of ours, past its time or revoked.",
    403: "The role may see this but not change it, or a cookie came without its CSRF token.",
    404: "There is no such thing, or it is not yours to see.",
    405: "This cannot be done to that address.",
    406: "The answer is JSON; accept it.",
    409: "The id belongs to something else.",
    412: "It was changed since it was read.",
    413: "More was sent at once than is taken.",
    415: "This type of body is not taken there.",
    428: "If-Match is missing.",
    429: "Too many wrong passwords; Retry-After says how long to wait.",
    503: "It cannot be kept at the moment; Retry-After says when to send it again.",
    507: "The disk is full; nothing was stored.",
}
CODES = {
    400: "invalid", 401: "not_authenticated", 403: "permission_denied", 404: "not_found",
    406: "not_acceptable", 409: "id_taken", 412: "changed_meanwhile", 413: "too_large",
    415: "unsupported_media_type", 428: "if_match_missing", 429: "locked_out", 503: "busy",
    507: "no_room",
}  # fmt: skip
FAULTS = [
    {"pointer": "#/name", "problem": "this is missing", "remedy": "send it"},
    {"parameter": "limit", "problem": "no such number of rows", "seen": "0",
     "remedy": "give 1 to 200"},
]  # fmt: skip


def _refused(status: int) -> dict[str, Any]:
    """An example of a refusal."""
    body = {
        "type": "about:blank", "title": HTTPStatus(status).phrase, "status": status,
        "code": CODES[status], "detail": PROBLEMS[status],
    }  # fmt: skip
    return {**body, "errors": FAULTS} if status == HTTPStatus.BAD_REQUEST else body


IF_MATCH = OpenApiParameter(
    "If-Match", str, OpenApiParameter.HEADER, required=True,
    description="The ETag of what is changed, as a GET told it.",
)  # fmt: skip
ALWAYS = (401, 403, 404, 406)
WITH_BODY = (400, 413, 415, 503, 507)


class Operation(AutoSchema):
    """drf-spectacular's, with the problems of RFC 9457 that an operation may answer."""

    def _get_response_bodies(self, direction: Any = "response") -> Any:
        bodies = super()._get_response_bodies(direction)
        for status in self._refusals():
            told = OpenApiResponse(ProblemSerializer, PROBLEMS[status])
            refusal = self._get_response_for_code(told, str(status), media_types=[MEDIA_TYPE])
            refusal["content"][MEDIA_TYPE]["examples"] = {"Refused": {"value": _refused(status)}}
            bodies.setdefault(str(status), refusal)
        return bodies

    def get_description(self) -> str:  # type: ignore[override]  # as drf-spectacular has it
        """What the view says of this method, where it does; else its docstring."""
        return getattr(self.view, "says", {}).get(self.method) or super().get_description()

    def _map_basic_serializer(self, serializer: Any, direction: Any) -> Any:
        """What is sent has no other members than these, and an edit none that are said once."""
        shape = super()._map_basic_serializer(serializer, direction)
        if direction != "request":
            return shape
        for name in getattr(serializer, "once", ()) if serializer.partial else ():
            del shape["properties"][name]
        return {**shape, "additionalProperties": False}

    def _get_examples(self, serializer: Any, direction: str, *args: Any, **kwargs: Any) -> Any:
        """Of what is entered, an edit's example leaves out what is said once."""
        found = super()._get_examples(serializer, direction, *args, **kwargs)
        once = getattr(serializer, "once", ())
        if self.method != "PATCH" or direction != "request" or not once:
            return found
        return {
            name: {**told, "value": {k: v for k, v in told["value"].items() if k not in once}}
            for name, told in found.items()
        }

    def get_summary(self) -> str:
        """The description's first sentence."""
        first = self.get_description().partition("\n\n")[0].replace("\n", " ")
        return first.partition(". ")[0].removesuffix(".")

    def get_filter_backends(self) -> list[Any]:
        """Named filters wherever a view has them, also where its answer is no list of rows."""
        if self.method == "GET" and getattr(self.view, "filters", None):
            return [NamedFilters]
        return list(super().get_filter_backends())

    def get_override_parameters(self) -> list[Any]:
        if self.method not in getattr(self.view, "asks_if_match", ()):
            return list(super().get_override_parameters())
        return [*super().get_override_parameters(), IF_MATCH]

    def _refusals(self) -> list[int]:
        own = getattr(self.view, "refusals", {})
        statuses = {*ALWAYS, *own.get(self.method, ())}
        if self.method in ("POST", "PATCH", "PUT"):
            statuses.update(WITH_BODY)
        if self._is_list_view() or getattr(self.view, "filters", None):
            statuses.add(400)
        return sorted(statuses)


def put_keys_first(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """The page offers ways to sign in as listed, and its forms can set no cookie."""
    ways = result["components"]["securitySchemes"]
    result["components"]["securitySchemes"] = {
        name: ways[name] for name in sorted(ways, key=lambda name: name != KeyScheme.name)
    }
    return result


def say_once(result: dict[str, Any], **_told: Any) -> dict[str, Any]:
    """A description does not begin with what the summary above it said."""
    for operation in (each for path in result["paths"].values() for each in path.values()):
        first, _, rest = operation.get("description", "").partition("\n\n")
        if first.replace("\n", " ").removesuffix(".") == operation["summary"]:
            operation["description"] = rest
    return result


class KeyScheme(OpenApiAuthenticationExtension):
    """Names our key to the schema."""

    target_class = "config.api.signing_in.KeyAuthentication"
    name = "deviceKey"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {
            "type": "apiKey", "in": "header", "name": "Authorization",
            "description": "`Token` and a device's key: POST /api/v1/keys gives one.",
        }  # fmt: skip
