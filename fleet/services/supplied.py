"""Fans that owners supply: entered once one is spoken of, told of as it comes, called off."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import Fan, Person, SuppliedFan
from fleet.services.rows import edit, fill, keep

SUPPLIED_FIELDS = frozenset(
    {
        "what", "supplier", "ordered_on", "expected_on", "arrived_on", "kept_at", "installer",
        "installer_name", "note", "withdrawn_on", "withdrawn_reason",
    }
)  # fmt: skip


def enter_supplied(
    *, fan: Fan, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> SuppliedFan:
    """Note that a fan's owner supplies another machine for it.

    Raises RegisterError for days that do not follow, or one called off without a reason.
    """
    row = SuppliedFan(fan=fan, entered_on=now.astimezone(fan.site.zone).date())
    fill(row, facts, SUPPLIED_FIELDS, "a supplied fan")
    keep(row, by, now, "entered")
    return row


def edit_supplied(
    *, row: SuppliedFan, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> SuppliedFan:
    """Say that it was ordered, came, who installs it, or that it is called off."""
    return edit(row, lambda held: fill(held, facts, SUPPLIED_FIELDS, "a supplied fan"), by, now)
