"""Exhaust systems, and what happens at one: other cooking, hours, closed days, cleanings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.models import (
    ClosedDay,
    CookingPeriod,
    ExhaustSystem,
    ExpectedCleaning,
    OperatingPeriod,
    Person,
    Site,
)
from fleet.models.systems import COOKING_CLASSES
from fleet.opening import Opening
from fleet.services.errors import RegisterError
from fleet.services.rows import edit, fill, keep
from fleet.signals import touch_fans
from fleet.writing import save_told

SYSTEM_FIELDS = frozenset(f.name for f in ExhaustSystem._meta.concrete_fields) - {"id", "site"}


def enter_system(
    *, site: Site, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> ExhaustSystem:
    """Take a system into the register; raises RegisterError for a name that its site has."""
    system = ExhaustSystem(site=site)
    fill(system, facts, SYSTEM_FIELDS, "an exhaust system")
    keep(system, by, now, "entered")
    return system


def edit_system(
    *, system: ExhaustSystem, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> ExhaustSystem:
    """Correct what is known of a system; raises RegisterError as ``enter_system``."""
    return edit(system, lambda row: fill(row, facts, SYSTEM_FIELDS, "an exhaust system"), by, now)


@transaction.atomic
def change_cooking(
    *, system: ExhaustSystem, classes: Iterable[str], valid_from: date, by: Person | None,
    now: datetime,
) -> CookingPeriod:  # fmt: skip
    """Say what is cooked under ``system`` from a day on; the same day said again is corrected.

    Raises RegisterError for a class nobody knows, or none.
    """
    said = set(classes)
    unknown = sorted(said.difference(COOKING_CLASSES))
    if unknown or not said:
        raise RegisterError(
            f"cooking classes {unknown or 'are missing'}; "
            f"give one or more of {', '.join(COOKING_CLASSES)}"
        )
    ordered = [code for code in COOKING_CLASSES if code in said]
    period, _ = CookingPeriod.objects.update_or_create(
        system=system, valid_from=valid_from, defaults={"classes": ordered}
    )
    _tell(system, by, now, f"cooking from {valid_from}")
    return period


@transaction.atomic
def change_hours(
    *, system: ExhaustSystem, hours: Opening, valid_from: date, by: Person | None, now: datetime
) -> OperatingPeriod:
    """Say when the kitchen runs from a day on (``fleet.opening.parse_opening`` reads text)."""
    period, _ = OperatingPeriod.objects.update_or_create(
        system=system,
        valid_from=valid_from,
        defaults={"spans": hours.spans, "always": hours.always},
    )
    _tell(system, by, now, f"hours from {valid_from}")
    return period


@transaction.atomic
def close_days(
    *, system: ExhaustSystem, days: Iterable[date], by: Person | None, now: datetime
) -> int:
    """Mark days without cooking; returns how many were not marked yet."""
    known = set(system.closed_days.values_list("day", flat=True))
    new = sorted(set(days) - known)
    ClosedDay.objects.bulk_create(ClosedDay(system=system, day=day) for day in new)
    if new:
        _tell(system, by, now, f"closed on {len(new)} days from {new[0]}")
    return len(new)


@transaction.atomic
def open_day(*, system: ExhaustSystem, day: date, by: Person | None, now: datetime) -> None:
    """The kitchen cooks on ``day`` after all; raises RegisterError where it was not closed."""
    deleted, _ = system.closed_days.filter(day=day).delete()
    if not deleted:
        raise RegisterError(f"{day} is no closed day of this system; nothing to take back")
    _tell(system, by, now, f"open on {day} after all")


@transaction.atomic
def announce_cleaning(
    *,
    system: ExhaustSystem,
    day: date,
    by: Person | None,
    now: datetime,
    crew: str | None = None,
) -> ExpectedCleaning:
    """Expect a hood cleaning on ``day``; announcing it again changes the crew."""
    defaults = {} if crew is None else {"crew": crew}
    cleaning, _ = ExpectedCleaning.objects.update_or_create(
        system=system, day=day, defaults=defaults
    )
    _tell(system, by, now, f"cleaning expected on {day}")
    return cleaning


@transaction.atomic
def call_off_cleaning(
    *, system: ExhaustSystem, day: date, by: Person | None, now: datetime
) -> None:
    """Take back an expected cleaning; raises RegisterError where none is expected that day."""
    deleted, _ = ExpectedCleaning.objects.filter(system=system, day=day).delete()
    if not deleted:
        expected = system.expected_cleanings.values_list("day", flat=True)
        known = ", ".join(map(str, expected)) or "none"
        raise RegisterError(f"no cleaning is expected on {day}; expected are: {known}")
    _tell(system, by, now, f"cleaning of {day} called off")


def _tell(system: ExhaustSystem, by: Person | None, now: datetime, why: str) -> None:
    """Leave a trace in the system's history, and have the dates of its fans reckoned anew."""
    row: Any = system
    save_told(row, by, now, why)
    touch_fans(system.fans.values_list("pk", flat=True))
