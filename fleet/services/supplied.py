"""Fans that owners supply: entered once one is spoken of, told of as it comes, called off."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import Fan, Person, SuppliedFan
from fleet.services.errors import refuse
from fleet.services.rows import edit, fill, keep

SUPPLIED_FIELDS = frozenset(
    {
        "what", "supplier", "ordered_on", "expected_on", "arrived_on", "kept_at", "installer",
        "installer_name", "note", "withdrawn_on", "withdrawn_reason",
    }
)  # fmt: skip


HAPPENED = ("ordered_on", "arrived_on", "withdrawn_on")
"""Days of what is told as done: none of them lies ahead."""


def enter_supplied(
    *, fan: Fan, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> SuppliedFan:
    """Note that a fan's owner supplies another machine for it.

    Raises RegisterError for days that do not follow or of things done that are still to come, or
    one called off without a reason.
    """
    row = SuppliedFan(fan=fan, entered_on=now.astimezone(fan.site.zone).date())
    _fill(row, facts, now)
    keep(row, by, now, "entered")
    return row


def edit_supplied(
    *, row: SuppliedFan, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> SuppliedFan:
    """Say that it was ordered, came, who installs it, or that it is called off."""
    return edit(row, lambda held: _fill(held, facts, now), by, now)


def _fill(row: SuppliedFan, facts: Mapping[str, Any], now: datetime) -> bool:
    differs = fill(row, facts, SUPPLIED_FIELDS, "a supplied fan")
    today = now.astimezone(row.fan.site.zone).date()
    ahead = {name: day for name in HAPPENED if (day := getattr(row, name)) and day > today}
    if row.ordered_on and row.expected_on and row.expected_on < row.ordered_on:
        raise refuse({"expected_on": f"it was ordered on {row.ordered_on} only"})
    if ahead:
        raise refuse({name: f"{day} is still to come" for name, day in ahead.items()})
    return differs
