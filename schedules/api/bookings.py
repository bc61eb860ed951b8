"""Who is booked where, read back: in order of day, or as it changed."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from config.api.filters import by_day, by_flag, by_id, by_instant
from fleet.models import Site, people_visible_to
from schedules.api import examples
from schedules.api.answers import Told
from schedules.api.shapes import BookingTold
from schedules.models import Booking
from visits.api.examples import told
from visits.api.whole import name_of


def _or_only_standing(rows: Any, withdrawn: bool) -> Any:
    return rows if withdrawn else rows.standing()


class BookingListView(GenericAPIView[Booking]):
    """Bookings listed."""

    serializer_class = BookingTold
    keyset = ("day", "pk")
    filters = {
        "site": by_id("site", "Bookings of one site.", Site.objects.visible_to),
        "technician": by_id("technician", "Bookings of one person.", people_visible_to),
        "day_after": by_day("day__gte", "Bookings on or after a local day."),
        "day_before": by_day("day__lt", "Bookings before a local day."),
        "changed_since": by_instant(
            "changed_at__gte", "Bookings made, moved or withdrawn at or after an instant."
        ),
        "withdrawn": by_flag(_or_only_standing, "True: also those that were withdrawn."),
    }

    def get_queryset(self) -> QuerySet[Booking]:
        rows = Booking.objects.visible_to(self.request.user)
        asked = "withdrawn" in self.request.query_params
        return (rows if asked else rows.standing()).select_related("site", "technician")

    @extend_schema(responses=BookingTold(many=True), examples=[told("A booking", examples.BOOKING)])
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Bookings in order of day; withdrawn ones only when asked for, and not for owners.

        `sequence` rises with each change.  Owners are told when somebody comes, not who or with
        which note.
        """
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        for_us = getattr(request.user, "works_here", False)
        return self.get_paginated_response([tell_booking(row, for_us=for_us) for row in page or ()])


def tell_booking(booking: Booking, *, for_us: bool) -> Told:
    """A booking, as far as its reader may know."""
    technician = {"id": booking.technician_id, "name": name_of(booking.technician)}
    return {
        "id": booking.pk,
        "site": {"id": booking.site_id, "name": booking.site.name},
        "technician": technician if for_us else None,
        "day": booking.day,
        "from_minute": booking.from_minute,
        "until_minute": booking.until_minute,
        "note": booking.note if for_us else "",
        "sequence": booking.sequence,
        "changed_at": booking.changed_at,
        "withdrawn_at": booking.withdrawn_at,
        "withdrawn_reason": booking.withdrawn_reason,
    }
