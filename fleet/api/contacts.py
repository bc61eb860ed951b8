"""Contacts of sites: whom to call there, the kitchen or whoever holds the keys of the roof."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer

from config.api.filters import by_choice, by_id
from fleet.api.register import (
    RegisterSerializer,
    RowEntryView,
    RowView,
    by_history,
    changed_since,
)
from fleet.models import Person, Site, SiteContact
from fleet.services.contacts import edit_contact, enter_contact

CONTACT = {
    "site": 12, "duty": "keys", "name": "Ada Mills", "phone": "+1 555 0142", "note": "after 10",
}  # fmt: skip


@extend_schema_serializer(
    examples=[
        OpenApiExample("A contact", {"id": 5, **CONTACT}, response_only=True),
        OpenApiExample("A contact to enter", CONTACT, request_only=True),
    ]
)
class ContactSerializer(RegisterSerializer[SiteContact]):
    """Somebody to call at a site, by the `duty` they are needed for; on the phone a tap calls."""

    once = ("site",)

    class Meta:
        model = SiteContact
        fields = ["id", "site", "duty", "name", "phone", "note"]
        validators: list[Any] = []


class ContactListView(RowEntryView):
    """Contacts of sites."""

    says = {"GET": "Whom to call at sites you may see.", "POST": "Enter somebody to call."}
    row_address, model, serializer_class = "api_contact", SiteContact, ContactSerializer
    filters = {
        "changed_since": changed_since(by_history),
        "duty": by_choice("duty", tuple(SiteContact.Duty.values), "needed for this"),
        "site": by_id("site", "at this site", Site.objects.visible_to),
    }

    def enter(self, values: dict[str, Any], by: Person, now: datetime) -> SiteContact:
        return enter_contact(site=values.pop("site"), facts=values, by=by, now=now)


class ContactView(RowView):
    """One contact of a site."""

    serializer_class, model = ContactSerializer, SiteContact
    says = {"PATCH": "Correct whom to call, or put another in their place.", "GET": "One contact."}

    def change(
        self, row: SiteContact, values: dict[str, Any], by: Person, now: datetime
    ) -> SiteContact:
        return edit_contact(contact=row, facts=values, by=by, now=now)
