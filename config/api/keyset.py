"""Pages that begin after a row, not at a number: the last costs what the first does."""

from __future__ import annotations

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model, Q
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from config.api.problems import InvalidError, parameter_fault

PAGE, MOST = 50, 200
BIGGEST = 2**63 - 1
PARAMETERS = (
    {
        "name": "after", "in": "query",
        "description": "Begin after this key; take it from `next`, do not make one.",
        "schema": {"type": "string"},
    },
    {
        "name": "limit", "in": "query", "description": "Rows on a page.",
        "schema": {"type": "integer", "minimum": 1, "maximum": MOST, "default": PAGE},
    },
)  # fmt: skip
Values = tuple[Any, ...]
Row = TypeVar("Row")


class KeysetPagination(BasePagination):
    """``?limit=`` rows ``?after=`` a key that the page before gave out.

    A view names its order in ``keyset``, ending with what is unique; none of it may be NULL, and a
    leading ``-`` on the first name turns all of it round.
    """

    next_link: str | None = None

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        """The page's rows; InvalidError for a key or limit that makes no sense."""
        names = [name.removeprefix("-") for name in view.keyset]
        falling = view.keyset[0].startswith("-")
        order = [f"-{name}" if falling else name for name in names]
        rows = queryset.order_by(*order)
        if key := request.query_params.get("after"):
            rows = rows.filter(_beyond(names, _values(queryset.model, names, key), falling))
        limit = _limit(request.query_params.get("limit"))
        found = list(rows[: limit + 1])
        if len(found) > limit:
            address = request.build_absolute_uri()
            self.next_link = replace_query_param(address, "after", _key(found[limit - 1], names))
        return found[:limit]

    def get_paginated_response(self, data: Any) -> Response:
        return Response({"next": self.next_link, "results": data})

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "object",
            "required": ["next", "results"],
            "properties": {
                "next": {
                    "type": ["string", "null"],
                    "format": "uri",
                    "description": "The next page, null on the last one.",
                    "example": None,
                },
                "results": schema,
            },
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        return [*PARAMETERS]


def page_of(
    rows: Iterable[tuple[Values, Row]], kinds: Sequence[type], request: Request
) -> tuple[list[Row], str | None]:
    """A page of rows that are reckoned, each behind its key, and the next one's address.

    Keys are unique and of these ``kinds``, a ``date`` as text.  InvalidError as for lists.
    """
    rest = sorted(rows, key=lambda row: row[0])
    if key := request.query_params.get("after"):
        after = _told(key, kinds)
        rest = [row for row in rest if row[0] > after]
    limit = _limit(request.query_params.get("limit"))
    page, address = rest[:limit], None
    if len(rest) > limit:
        address = replace_query_param(
            request.build_absolute_uri(), "after", _encoded([*page[-1][0]])
        )
    return [row for _, row in page], address


def _told(key: str, kinds: Sequence[type]) -> Values:
    try:
        told = _decoded(key)
        if not all(_is_of(each, kind) for each, kind in zip(told, kinds, strict=True)):
            raise TypeError
    except (ValueError, TypeError, RecursionError) as error:
        raise _no_page(key) from error
    return tuple(told)


def _is_of(value: Any, kind: type) -> bool:
    if kind is date:
        return bool(date.fromisoformat(value).isoformat() == value)
    return type(value) is kind


def _limit(text: str | None) -> int:
    if text is None:
        return PAGE
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= MOST:
        raise InvalidError(
            [parameter_fault("limit", "no such number of rows", f"give 1 to {MOST}", text)]
        )
    return int(text[:4])


def _key(row: Model, names: list[str]) -> str:
    told = []
    for name in names:
        value: Any = row
        for part in name.split("__"):
            value = getattr(value, part)
        told.append(value.isoformat() if hasattr(value, "isoformat") else value)
    return _encoded(told)


def _encoded(values: list[Any]) -> str:
    return urlsafe_b64encode(json.dumps(values, default=str).encode()).decode().rstrip("=")


def _decoded(key: str) -> Any:
    return json.loads(urlsafe_b64decode(key + "=" * (-len(key) % 4)))


def _no_page(key: str) -> InvalidError:
    problem, remedy = "no page of this list begins there", "start again from its first page"
    return InvalidError([parameter_fault("after", problem, remedy, key)])


def _values(model: type[Model], names: list[str], key: str) -> list[Any]:
    """The values in a key; InvalidError for one that no page of ours gave out."""
    try:
        told = _decoded(key)
        return [_value(_field(model, name), value) for name, value in zip(names, told, strict=True)]
    except (ValueError, TypeError, OverflowError, ValidationError, RecursionError) as error:
        raise _no_page(key) from error


def _value(field: Any, told: Any) -> Any:
    """What the field may hold; a ValueError for what a database would choke on."""
    value = field.to_python(told)
    match value:
        case None:
            raise ValueError
        case str() if b"\0" in value.encode():  # encoding refuses half a character
            raise ValueError
        case int() if not -BIGGEST <= value <= BIGGEST:
            raise ValueError
        case datetime() if value.tzinfo is None:
            raise ValueError
        case datetime():
            value.astimezone(UTC)  # OverflowError for an instant outside the calendar
    return value


def _field(model: Any, name: str) -> Any:
    *path, last = name.split("__")
    for part in path:
        model = model._meta.get_field(part).related_model
    return model._meta.pk if last == "pk" else model._meta.get_field(last)


def _beyond(names: list[str], values: list[Any], falling: bool) -> Q:
    """Rows after these values in the order of these names."""
    compare, beyond, alike = "lt" if falling else "gt", Q(), Q()
    for name, value in zip(names, values, strict=True):
        beyond |= alike & Q(**{f"{name}__{compare}": value})
        alike &= Q(**{name: value})
    # Alone, the alternatives would be tried row by row from the index's first on.
    return Q(**{f"{names[0]}__{compare}e": values[0]}) & beyond
