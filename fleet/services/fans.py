"""Fans taken under care by hand, position, machine and feed at once, and corrected."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.models import ExhaustSystem, Fan, Person
from fleet.services.errors import within
from fleet.services.feeds import change_feed
from fleet.services.machines import replace_machine
from fleet.services.rows import edit, fill, keep

FAN_FIELDS = frozenset({
    "tag", "place", "east_m", "north_m", "hour_meter_digits", "notes", "curb_size", "rotation",
})  # fmt: skip


@transaction.atomic
def enter_fan(
    *,
    system: ExhaustSystem,
    tag: str,
    entered_on: date,
    by: Person | None,
    now: datetime,
    facts: Mapping[str, Any] | None = None,
    installed_on: date | None = None,
    plate: Mapping[str, Any] | None = None,
    feed: Mapping[str, Any] | None = None,
) -> Fan:
    """Take one fan under care; without onboarding day, so its first visit is due by the rules.

    ``facts`` are further fields of a fan.  Raises RegisterError where the tag is taken on this site
    or a value cannot be.
    """
    fan = Fan(site=system.site, system=system, entered_on=entered_on)
    fill(fan, {**(facts or {}), "tag": tag.strip()}, FAN_FIELDS, "a fan")
    keep(fan, by, now, "entered")
    with within("machine"):
        replace_machine(fan=fan, installed_on=installed_on, plate=plate or {}, by=by, now=now)
    if feed:
        with within("feed"):
            change_feed(fan=fan, valid_from=None, feed=feed, by=by, now=now)
    return fan


def edit_fan(*, fan: Fan, facts: Mapping[str, Any], by: Person | None, now: datetime) -> Fan:
    """Correct what is known of a position; raises RegisterError as ``enter_fan``."""
    return edit(fan, lambda row: fill(row, facts, FAN_FIELDS, "a fan"), by, now)
