"""Owners and their agreements."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_day, by_id
from fleet.api.fields import bounds
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    by_history,
    changed_since,
    refuse_known,
)
from fleet.models import Agreement, Owner, Person
from fleet.services.owners import change_agreement, edit_owner, enter_owner
from fleet.services.rows import hold

OWNER = {"name": "Tannevale Dining", "email": "office@tannevale.example", "phone": "555-0117",
         "language": "es", "notes": "invoices by post"}  # fmt: skip
TERMS = {"visits_per_year": 6, "reliability": "medium", "stretching_allowed": False,
         "spending_limit": "400.00", "notes": ""}  # fmt: skip


@extend_schema_serializer(
    examples=[
        OpenApiExample("An owner", {"id": 7, **OWNER}, response_only=True),
        OpenApiExample("An owner to enter", OWNER, request_only=True),
    ]
)
class OwnerSerializer(RegisterSerializer[Owner]):
    """Whoever decides on repairs; the notes are the company's own, an owner finds them empty."""

    company_only = ("notes",)

    class Meta:
        model = Owner
        fields = ["id", "name", "email", "phone", "language", "notes"]
        extra_kwargs = bounds("owner", "notes") | {"name": {"validators": [], "max_length": 120}}


class OwnerListView(RowEntryView):
    """Owners."""

    model, serializer_class, row_address = Owner, OwnerSerializer, "api_owner"
    filters = {"changed_since": changed_since(by_history)}
    says = {"GET": "Owners: all for the company, themselves for an owner's contact.",
            "POST": "Enter an owner."}  # fmt: skip

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Owner:
        return enter_owner(facts=values, by=by, now=now)


class OwnerView(RowView):
    """One owner."""

    model, serializer_class = Owner, OwnerSerializer
    says = {"GET": "One owner.", "PATCH": "Correct what is known of an owner."}

    def change(self, row: Owner, values: dict[str, Any], by: Person, now: datetime) -> Owner:
        return edit_owner(owner=row, facts=values, by=by, now=now)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "An agreement",
            {"id": 3, "owner": 7, "starts_on": "2026-01-01", "ends_on": None, **TERMS},
            response_only=True,
        ),
        OpenApiExample(
            "An agreement to enter",
            {"owner": 7, "starts_on": "2026-01-01", **TERMS},
            request_only=True,
        ),
    ]
)
class AgreementSerializer(RegisterSerializer[Agreement]):
    """What an owner bought from a day on; no ``visits_per_year`` is as due."""

    once = ("owner", "starts_on")
    company_only = ("notes",)

    class Meta:
        model = Agreement
        fields = [
            "id", "owner", "starts_on", "ends_on", "visits_per_year", "reliability",
            "stretching_allowed", "spending_limit", "notes",
        ]  # fmt: skip
        extra_kwargs = bounds("agreement", "notes") | {
            "visits_per_year": {"min_value": 1, "max_value": 366},
            "spending_limit": {
                "min_value": 0,
                "help_text": f"repairs up to this need no asking [{settings.CURRENCY}]",
            },
        }
        validators: list[Any] = []


class AgreementListView(RowEntryView):
    """Agreements."""

    model, serializer_class, row_address = Agreement, AgreementSerializer, "api_agreement"
    filters = {
        "owner": by_id("owner", "of this owner", Owner.objects.visible_to),
        "in_force_on": by_day(
            lambda rows, day: rows.filter(starts_on__lte=day).exclude(ends_on__lt=day),
            "that begin no later than this day and have not ended before it",
        ),
        "changed_since": changed_since(by_history),
    }
    says = {"GET": "Agreements of the owners you may see.",
            "POST": "Enter an agreement; the one in force before ends the day before, and one told "
                    "late ends the day before the next."}  # fmt: skip

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> Agreement:
        owner, starts_on = hold(values.pop("owner")), values.pop("starts_on")
        if known := owner.agreements.filter(starts_on=starts_on).first():
            raise refuse_known(
                "starts_on", "an agreement from this day is on record", starts_on,
                f"change that one: PATCH /api/v1/agreements/{known.pk}",
            )  # fmt: skip
        return change_agreement(owner=owner, starts_on=starts_on, terms=values, by=by, now=now)


class AgreementView(RowView):
    """One agreement."""

    model, serializer_class = Agreement, AgreementSerializer
    says = {"GET": "One agreement.", "PATCH": "Correct the terms of an agreement."}

    def change(self, row: Agreement, values: Any, by: Person, now: datetime) -> Agreement:
        return change_agreement(
            owner=row.owner, starts_on=row.starts_on, terms=values, by=by, now=now
        )
