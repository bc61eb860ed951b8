"""Whom to call at a site: entered and corrected."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import Person, Site, SiteContact
from fleet.services.rows import edit, fill, keep

CONTACT_FIELDS = frozenset({"duty", "name", "phone", "note"})


def enter_contact(
    *, facts: Mapping[str, Any], site: Site, now: datetime, by: Person | None
) -> SiteContact:
    """Somebody to call at a site; raises RegisterError without a name or a number."""
    fill(contact := SiteContact(site=site), facts, CONTACT_FIELDS, "a contact")
    keep(contact, by, now, "entered")
    return contact


def edit_contact(
    *, contact: SiteContact, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> SiteContact:
    """Correct whom to call; raises RegisterError as ``enter_contact``."""
    return edit(contact, lambda row: fill(row, facts, CONTACT_FIELDS, "a contact"), by, now)
