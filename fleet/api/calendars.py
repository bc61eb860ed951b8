"""A system's calendar, changed day by day; each change answers with the whole system."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    extend_schema,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import generics
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.edits import TaggedMixin
from fleet.api.fields import DayField, ListField
from fleet.api.register import RowsMixin, StrictSerializer, told_as_faults
from fleet.api.systems import (
    OF_SYSTEM,
    CookingSerializer,
    ExpectedCleaningSerializer,
    RunningHoursSerializer,
    SystemSerializer,
)
from fleet.imports.days import EARLIEST, LATEST
from fleet.models import ExhaustSystem
from fleet.services.systems import (
    announce_cleaning,
    call_off_cleaning,
    change_cooking,
    change_hours,
    close_days,
    open_day,
)

MOST_DAYS = 400
DAY = OpenApiParameter("day", OpenApiTypes.DATE, OpenApiParameter.PATH)


class DayConverter:
    """A day in an address; what is none, or none within reason, is no address."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        day = date.fromisoformat(value)
        if not EARLIEST <= day <= LATEST:
            raise ValueError
        return day

    def to_url(self, value: date) -> str:
        return value.isoformat()


@extend_schema_serializer(
    examples=[OpenApiExample("Days", {"days": ["2026-12-25"]}, request_only=True)]
)
class DaysSerializer(StrictSerializer):
    """Days without cooking."""

    days = ListField(child=DayField(), min_length=1, max_length=MOST_DAYS)


class CalendarView(RowsMixin, TaggedMixin, generics.GenericAPIView[Any]):
    """A change of a system's calendar, under the ETag of the whole system."""

    model, serializer_class, fetched = ExhaustSystem, SystemSerializer, OF_SYSTEM
    lookup_field = "id"
    asks_if_match = ("POST", "PUT", "DELETE")
    refusals = dict.fromkeys(asks_if_match, (412, 428))
    body: ClassVar[Any]

    def put(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Set what holds from the day in the address; again on the same day corrects it."""
        form = self.body(data=request.data)
        form.is_valid(raise_exception=True)
        return self.settled(request, self.set_day, form.validated_data)

    def settled(self, request: Request, change: Any, values: Any = None) -> Response:
        """Make the change to the system as its sender has read it; the system as it is then."""

        def settle(system: ExhaustSystem) -> ExhaustSystem:
            told = {"system": system, "by": request.user, "now": timezone.now()}
            with told_as_faults(request.data):
                change(values, **told)
            return system

        return self.changed(request, settle)

    @property
    def day(self) -> date:
        """The day in the address."""
        day: date = self.kwargs["day"]
        return day

    def set_day(self, values: dict[str, Any], **told: Any) -> Any:
        """Call the service that sets ``values`` on the day."""
        raise NotImplementedError


WHOLE = {200: SystemSerializer}


def _sets_a_day(body: Any) -> Any:
    """Tells the schema of the view's PUT; on the method itself all views would share one body."""
    return extend_schema_view(put=extend_schema(request=body, responses=WHOLE, parameters=[DAY]))


@_sets_a_day(CookingSerializer)
class CookingView(CalendarView):
    """What is cooked from a day on."""

    body = CookingSerializer
    says = {"PUT": "Say what is cooked under a system from a day on; the same day said again is "
                   "corrected."}  # fmt: skip

    def set_day(self, values: dict[str, Any], **told: Any) -> Any:
        return change_cooking(classes=values["classes"], valid_from=self.day, **told)


@_sets_a_day(RunningHoursSerializer)
class RunningHoursView(CalendarView):
    """When the kitchen runs from a day on."""

    body = RunningHoursSerializer
    says = {"PUT": "Say when the kitchen runs from a day on; the same day said again is corrected."}

    def set_day(self, values: dict[str, Any], **told: Any) -> Any:
        return change_hours(hours=values["hours"], valid_from=self.day, **told)


@_sets_a_day(ExpectedCleaningSerializer)
class ExpectedCleaningView(CalendarView):
    """A hood cleaning expected on a day."""

    body = ExpectedCleaningSerializer
    says = {"PUT": "Expect a hood cleaning on a day; announced again, the crew changes.",
            "DELETE": "Call an expected hood cleaning off."}  # fmt: skip

    @extend_schema(responses=WHOLE, parameters=[DAY])
    def delete(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.settled(request, self.clear_day)

    def set_day(self, values: dict[str, Any], **told: Any) -> Any:
        return announce_cleaning(day=self.day, crew=values.get("crew"), **told)

    def clear_day(self, _: Any, *, system: ExhaustSystem, **told: Any) -> None:
        """Call it off, where one is expected."""
        if not system.expected_cleanings.filter(day=self.day).exists():
            raise NotFound
        call_off_cleaning(system=system, day=self.day, **told)


class ClosedDaysView(CalendarView):
    """Days without cooking."""

    says = {"POST": "Mark days on which the kitchen does not cook; days marked already stay so."}
    http_method_names = ("post", "options")

    @extend_schema(request=DaysSerializer, responses=WHOLE)
    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        form = DaysSerializer(data=request.data)
        form.is_valid(raise_exception=True)
        return self.settled(request, self.close, form.validated_data["days"])

    def close(self, days: list[date], **told: Any) -> None:
        """Mark them."""
        close_days(days=days, **told)


class ClosedDayView(CalendarView):
    """One day without cooking."""

    says = {"DELETE": "The kitchen cooks on that day after all."}
    http_method_names = ("delete", "options")

    @extend_schema(responses=WHOLE, parameters=[DAY])
    def delete(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.settled(request, self.open)

    def open(self, _: Any, *, system: ExhaustSystem, **told: Any) -> None:
        """Unmark it, where it is marked."""
        if not system.closed_days.filter(day=self.day).exists():
            raise NotFound
        open_day(system=system, day=self.day, **told)
