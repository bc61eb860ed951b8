"""Every refusal of the API as a problem of RFC 9457, with a JSON pointer at each fault."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping, Sequence
from http import HTTPStatus
from itertools import islice
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, SuspiciousOperation, TooManyFieldsSent
from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from rest_framework import exceptions, status
from rest_framework.response import Response

from config.trouble import BUSY, Trouble, trouble_of

log = logging.getLogger("django.request")
MEDIA_TYPE = "application/problem+json"
LONGEST_SEEN = 60
MOST_FAULTS = 100
SIGN_IN = gettext_lazy(
    "Send the header `Authorization: Token` and a key; POST /api/v1/keys gives one."
)
ANYWHERE = {
    "required": gettext_lazy("this is missing; send it"),
    "null": gettext_lazy("null is no value here; send one, or leave it out"),
}
"""The framework's messages that every kind of field has, in our words."""

NOT_FOUND = gettext_lazy("There is no such thing here, or it is not yours to see.")


class ProblemError(exceptions.APIException):
    """A refusal with a sentence and, where single values are wrong, a list of faults.

    errors : mappings with ``pointer`` (RFC 6901, as a fragment) into the body or the ``parameter``,
        ``problem``, and where known ``seen`` and ``remedy``
    """

    def __init__(
        self, status_code: int, code: str, detail: str, errors: Sequence[Mapping[str, Any]] = ()
    ) -> None:
        super().__init__(detail, code)
        self.status_code = status_code
        self.errors = _told_of(errors)


class InvalidError(ProblemError):
    """What was sent cannot be taken; nothing was stored."""

    def __init__(self, errors: Sequence[Mapping[str, Any]], detail: str = "") -> None:
        super().__init__(status.HTTP_400_BAD_REQUEST, "invalid", detail or _count(errors), errors)


class TroubleError(ProblemError):
    """Nothing can be stored at this moment, through no fault of sender or code."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble.status, trouble.code, str(trouble.sentence))
        self.wait = trouble.wait_s


def parameter_fault(
    name: str, problem: str, remedy: str, seen: str | None = None
) -> dict[str, str]:
    """A fault of a query parameter; ``seen`` is what stood there."""
    told = {} if seen is None else {"seen": seen[:LONGEST_SEEN]}
    return {"parameter": name[:LONGEST_SEEN], "problem": problem, **told, "remedy": remedy}


def body_fault(pointer: str, text: str, sent: Any = None) -> dict[str, str]:
    """A fault in the body; ``text`` is ``problem; remedy``, ``sent`` what stood there."""
    problem, _semicolon, remedy = text.partition("; ")
    untold = sent is None or isinstance(sent, (Mapping, list))
    seen = {} if untold else {"seen": str(sent)[:LONGEST_SEEN]}
    return {
        "pointer": pointer,
        "problem": problem,
        **seen,
        **({"remedy": remedy} if remedy else {}),
    }


def more_faults(left: int) -> str:
    """What stands for faults that are not told one by one."""
    return ngettext(
        "%(count)s more thing is wrong; put right what is told, send it again",
        "%(count)s more things are wrong; put right what is told, send it again",
        left,
    ) % {"count": left}


def _told_of(errors: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The first hundred faults, then one with how many more there are."""
    rest = iter(errors)
    told = list(islice(rest, MOST_FAULTS + 1))
    if left := sum(1 for _each in rest):
        told[MOST_FAULTS:] = [body_fault("#", more_faults(left + 1))]
    return told


def _count(errors: Sequence[Any]) -> str:
    if len(errors) > MOST_FAULTS:
        return _("More than %(most)s things to put right.") % {"most": MOST_FAULTS}
    return ngettext(
        "%(count)s thing to put right.", "%(count)s things to put right.", len(errors)
    ) % {"count": len(errors)}


def answer_problem(error: Exception, context: Mapping[str, Any]) -> Response:
    """DRF's exception handler: the error as a problem; what nobody foresaw is logged and a 500."""
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    elif trouble := trouble_of(error):
        if trouble is not BUSY:
            log.error("%s at %s", trouble.title, context["request"].path, exc_info=error)
        error = TroubleError(trouble)
    elif isinstance(error, TooManyFieldsSent):
        told = {"most": settings.DATA_UPLOAD_MAX_NUMBER_FIELDS}
        detail = _("There are over %(most)s parameters; send fewer.") % told
        error = ProblemError(400, "too_many", detail)
    elif isinstance(error, SuspiciousOperation):
        detail = _("This is not taken as it was sent; send it anew.")
        error = ProblemError(400, "suspicious", detail)
    if not isinstance(error, exceptions.APIException):
        log.error("API failed at %s", context["request"].path, exc_info=error)
        error = exceptions.APIException(_("Something went wrong here; nothing was stored."))
    response = Response(_body(error, context), status=error.status_code, content_type=MEDIA_TYPE)
    for header, value in _headers(error):
        response[header] = value
    return response


def _body(error: exceptions.APIException, context: Mapping[str, Any]) -> dict[str, Any]:
    errors = list(getattr(error, "errors", ()))
    detail = _detail(error, context)
    if isinstance(error, exceptions.ValidationError):
        errors = _told_of(faults_in(error.detail, sent=context["request"].data))
        detail = _count(errors)
    body = {
        "type": "about:blank",
        "title": HTTPStatus(error.status_code).phrase,
        "status": error.status_code,
        "code": _code(error),
        "detail": detail,
    }
    if error.status_code >= status.HTTP_500_INTERNAL_SERVER_ERROR:
        body["request_id"] = getattr(context["request"], "log_id", "")
    return {**body, "errors": errors} if errors else body


def _code(error: exceptions.APIException) -> str:
    codes = error.get_codes()
    return codes if isinstance(codes, str) else "invalid"


def _detail(error: exceptions.APIException, context: Mapping[str, Any]) -> str:
    """What was wrong and what to do; the framework's own sentences leave the latter out."""
    request, view = context["request"], context.get("view")
    match error:
        case exceptions.NotFound():
            return str(NOT_FOUND)
        case exceptions.NotAuthenticated():
            return _("Nobody is signed in. %(remedy)s") % {"remedy": SIGN_IN}
        case exceptions.PermissionDenied() if str(error.detail).startswith("CSRF Failed"):
            return _("The form is too old or from elsewhere; load the page anew, send it again.")
        case exceptions.MethodNotAllowed():
            taken = ", ".join(getattr(view, "allowed_methods", ()))
            told = {"method": request.method, "taken": taken}
            return _("%(method)s is not taken at this address; it takes %(taken)s.") % told
        case exceptions.UnsupportedMediaType():
            seen = str(request.content_type)[:LONGEST_SEEN]
            taken = ", ".join(parser.media_type for parser in getattr(view, "parser_classes", ()))
            told = {"seen": repr(seen), "taken": taken}
            return _("A body of type %(seen)s is not taken; send %(taken)s.") % told
        case exceptions.NotAcceptable():
            return _("The answer is JSON; accept application/json.")
    return str(error.detail)


def faults_in(detail: Any, pointer: str = "#", sent: Any = None) -> Iterator[dict[str, str]]:
    """DRF's tree of messages, each leaf with the pointer to what is wrong in what was ``sent``."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            if name == "non_field_errors":
                yield from faults_in(inner, pointer, sent)
            else:
                part = _part(sent, name)
                yield from faults_in(inner, f"{pointer}/{escaped(str(name))}", part)
    elif isinstance(detail, list):
        for place, inner in enumerate(detail):
            # A list of messages is about the field itself, one of mappings about its items.
            if isinstance(inner, (dict, list)):
                yield from faults_in(inner, f"{pointer}/{place}", _part(sent, place))
            else:
                yield from faults_in(inner, pointer, sent)
    else:
        text = ANYWHERE.get(getattr(detail, "code", ""), str(detail))
        yield body_fault(pointer, str(text), sent)


def _part(sent: Any, name: Any) -> Any:
    """What stood under that name or at that place."""
    if isinstance(sent, Mapping):
        return sent.get(name)
    if isinstance(sent, list) and str(name).isdigit() and int(name) < len(sent):
        return sent[int(name)]
    return None


def escaped(name: str) -> str:
    """A member's name as a step of a JSON pointer."""
    return name.replace("~", "~0").replace("/", "~1")


def _headers(error: exceptions.APIException) -> Iterator[tuple[str, str]]:
    if header := getattr(error, "auth_header", None):
        yield "WWW-Authenticate", header
    if wait := getattr(error, "wait", None):
        yield "Retry-After", str(int(wait))
