"""A fan taken under care by hand: position, machine and feed at once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.models import ExhaustSystem, Fan, Person
from fleet.services.errors import refuse_invalid
from fleet.services.feeds import change_feed
from fleet.services.machines import replace_machine
from fleet.writing import save_told


@transaction.atomic
def enter_fan(
    *,
    system: ExhaustSystem,
    tag: str,
    entered_on: date,
    by: Person | None,
    now: datetime,
    place: str = "",
    installed_on: date | None = None,
    plate: Mapping[str, Any] | None = None,
    feed: Mapping[str, Any] | None = None,
) -> Fan:
    """Take one fan under care; without onboarding day, so its first visit is due by the rules.

    Raises RegisterError where the tag is taken on this site or a value cannot be.
    """
    fan = Fan(site=system.site, system=system, tag=tag.strip(), place=place, entered_on=entered_on)
    try:
        fan.full_clean()
    except ValidationError as error:
        raise refuse_invalid(error) from error
    save_told(fan, by, now, "entered")
    replace_machine(fan=fan, installed_on=installed_on, plate=plate or {}, by=by, now=now)
    if feed:
        change_feed(fan=fan, valid_from=None, feed=feed, by=by, now=now)
    return fan
