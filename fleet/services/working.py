"""When and from where technicians go out: their working week, and days off."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.models import DaysOff, Person, WorkingWeek
from fleet.services.errors import RegisterError
from fleet.services.rows import fill, hold, keep

WEEK_FIELDS = frozenset(
    {"base", "latitude", "longitude", "hours", "overtime_minutes", "reserve_minutes"}
)


@transaction.atomic
def set_working_week(
    *, technician: Person, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> WorkingWeek:
    """Say from where and in which weekly hours a technician goes out; said again it is corrected.

    Raises RegisterError for somebody who is no technician, or facts that the register cannot take.
    """
    _require_technician(hold(technician))
    week = WorkingWeek.objects.filter(technician=technician).first()
    week = week or WorkingWeek(technician=technician)
    fill(week, facts, WEEK_FIELDS, "a working week")
    keep(week, by, now, "working week")
    return week


def give_days_off(
    *, technician: Person | None, first_on: date, last_on: date, reason: str, by: Person | None,
    now: datetime,
) -> DaysOff:  # fmt: skip
    """Note that a technician, or with None everybody, is off: the first and last day included.

    Raises RegisterError for somebody who is no technician, or a last day before the first.
    """
    if technician is not None:
        _require_technician(technician)
    off = DaysOff(technician=technician, first_on=first_on, last_on=last_on, reason=reason)
    keep(off, by, now, "days off")
    return off


def _require_technician(person: Person) -> None:
    if person.role != Person.Role.TECHNICIAN:
        name = person.called
        raise RegisterError(f"{name} is a {person.get_role_display()}; only technicians are sent")
