"""What all parts of the register share in the API: rows listed, looked at, entered and edited."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any, ClassVar, TypeVar

from django.core.exceptions import NON_FIELD_ERRORS
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils import timezone
from rest_framework import generics, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.settings import api_settings

from config.api.access import PLANNERS, ByRole
from config.api.edits import TaggedMixin, etag_of
from config.api.filters import Filter, by_instant
from config.api.problems import MOST_FAULTS, InvalidError, body_fault, escaped, more_faults
from config.api.sparse import SparseMixin
from config.collisions import in_one_transaction
from fleet.api.fields import KINDS, RowField, WordField
from fleet.services.errors import RegisterError

T = TypeVar("T", bound=Model)


@contextmanager
def told_as_faults(sent: Any) -> Iterator[None]:
    """A service's refusal as a problem, each fault with the pointer to what was sent."""
    try:
        yield
    except RegisterError as error:
        faults = error.faults or {NON_FIELD_ERRORS: str(error)}
        raise InvalidError([_fault(field, text, sent) for field, text in faults.items()]) from error


def _fault(field: str, text: str, sent: Any) -> dict[str, Any]:
    steps = [] if field == NON_FIELD_ERRORS else field.split("/")
    for step in steps:
        sent = sent.get(step) if isinstance(sent, Mapping) else None
    return body_fault("/".join(["#", *map(escaped, steps)]), text, sent)


def refuse_known(member: str, problem: str, seen: Any, remedy: str) -> InvalidError:
    """Something stands there already, which is edited and not entered again."""
    fault = {"pointer": f"#/{member}", "problem": problem, "seen": str(seen), "remedy": remedy}
    return InvalidError([fault])


class StrictSerializer(serializers.Serializer[Any]):
    """A serializer for which a member that it does not have, or that nobody sets, is a fault.

    ``once`` names what is said on entering only.
    """

    once: ClassVar[Sequence[str]] = ()
    default_error_messages = {"invalid": "this is no object; write it in braces"}

    def to_internal_value(self, data: Any) -> Any:
        faults = self._misplaced(data) if isinstance(data, Mapping) else {}
        if len(faults) > MOST_FAULTS:
            raise serializers.ValidationError(faults)
        try:
            values = super().to_internal_value(data)
        except serializers.ValidationError as error:
            raise serializers.ValidationError({**error.detail, **faults}) from error  # type: ignore[dict-item]  # a mapping of faults
        if faults:
            raise serializers.ValidationError(faults)
        return values

    def _misplaced(self, data: Mapping[str, Any]) -> dict[str, list[str]]:
        """What is wrong with members' names; of too many only the first, and how many more."""
        told: dict[str, list[str]] = {}
        settable = {name for name, field in self.fields.items() if not field.read_only}
        if self.instance is not None:
            settable -= set(self.once)
        strange = [name for name in data if name not in settable]
        unknown = f"there is no such member; known are {', '.join(sorted(settable))}"
        for name in strange[:MOST_FAULTS]:
            kept = name in self.fields
            told[name] = ["this is not changed here; leave it out" if kept else unknown]
        if left := len(strange) - len(told):
            told[api_settings.NON_FIELD_ERRORS_KEY] = [more_faults(left)]
        return told


class RegisterSerializer(StrictSerializer, SparseMixin, serializers.ModelSerializer[T]):
    """A row of the register; ``company_only`` names what owners find empty."""

    serializer_field_mapping: ClassVar[dict[Any, Any]] = {
        **serializers.ModelSerializer.serializer_field_mapping, **KINDS,
    }  # fmt: skip
    serializer_related_field = RowField
    serializer_choice_field = WordField
    company_only: ClassVar[Sequence[str]] = ()

    def to_representation(self, instance: Any) -> dict[str, Any]:
        told: dict[str, Any] = super().to_representation(instance)
        reader = getattr(self.context.get("request"), "user", None)
        if not getattr(reader, "works_here", False):
            told |= {name: "" for name in self.company_only if name in told}
        return told


def changed_since(narrow: Callable[[Any, datetime], Any]) -> Filter:
    """Rows changed at or after an instant."""
    return by_instant(narrow, "entered or changed at or after this instant")


def by_history(rows: Any, since: datetime) -> Any:
    """Rows with an entry in their history since then."""
    history: Any = rows.model.history
    return rows.filter(pk__in=history.filter(history_date__gte=since).values("id"))


class RowsMixin:
    """Rows of ``model`` that the asker may see, read in a number of queries that does not grow."""

    permission_classes: Any = (ByRole,)
    changed_by = PLANNERS
    model: ClassVar[Any]
    joined: ClassVar[Sequence[str]] = ()
    fetched: ClassVar[Sequence[str]] = ()

    def get_queryset(self) -> QuerySet[Any]:
        rows: QuerySet[Any] = self.model.objects.visible_to(self.request.user)  # type: ignore[attr-defined]
        rows = rows.select_related(*self.joined) if self.joined else rows
        return rows.prefetch_related(*self.fetched)


class RowListView(RowsMixin, generics.ListAPIView[Any]):
    """Rows in the order in which they were entered, which no edit upsets."""

    keyset = ("pk",)


class RowEntryView(RowListView, generics.ListCreateAPIView[Any]):
    """Rows, and new ones, entered by ``enter(values, by, now)``, a service's call."""

    entering: ClassVar[Any] = None
    row_address: ClassVar[str]

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        context = self.get_serializer_context()
        shown: Any = self.serializer_class

        @in_one_transaction
        def entered() -> Any:
            form = (self.entering or shown)(data=request.data, context=context)
            form.is_valid(raise_exception=True)
            with told_as_faults(request.data):
                return self.enter(form.validated_data, request.user, timezone.now())  # type: ignore[attr-defined]

        row = entered()
        told = shown(row, context=context).data
        address = request.build_absolute_uri(reverse(self.row_address, args=[row.pk]))
        headers = {"Location": address, "ETag": etag_of(told)}
        return Response(told, status=status.HTTP_201_CREATED, headers=headers)


class RowLookView(RowsMixin, TaggedMixin, generics.GenericAPIView[Any]):
    """One row."""

    lookup_field = "id"

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.retrieve(request, *args, **kwargs)


class RowView(RowLookView):
    """One row, edited by ``change(row, values, by, now)``, a service's call."""

    refusals: ClassVar[Mapping[str, Sequence[int]]] = {"PATCH": (412, 428)}

    def patch(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.partial_update(request, *args, **kwargs)

    def edit(self, row: Any, values: Any, request: Request) -> Any:
        with told_as_faults(request.data):
            return self.change(row, values, request.user, timezone.now())  # type: ignore[attr-defined]
