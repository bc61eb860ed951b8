"""Onboarding: a fleet new to us falls due fan by fan, each on the day it was given."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import SILENT, Columns, Days, Fields


def fields(room: int) -> Fields:
    """Days every rule may start from; ``seen_here`` ends onboarding."""
    return (("entered_day", "i4"), ("onboarding_day", "i4"), ("seen_here", "?"))


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the start of one fan's record."""
    return {
        "entered_day": record.entered_day,
        "onboarding_day": record.onboarding_day or SILENT,
        "seen_here": any(look.here for look in record.looks),
    }


def first_day(columns: Columns, days: int) -> Days:
    """Return the day a fan without history falls due: onboarding, else ``days`` after entry.

    returns int32, shape (N,)
    """
    given = columns["onboarding_day"]
    return np.where(given == SILENT, columns["entered_day"] + days, given).astype(np.int32)


def held_until(columns: Columns) -> Days:
    """Return the day before which nothing is due, int32 (N,); SILENT once a fan was seen here."""
    return np.where(columns["seen_here"], SILENT, columns["onboarding_day"]).astype(np.int32)


def hold(
    due_day: Days, overdue_day: Days, until: Days, grace_days: int, stop: NDArray[np.bool_] | None
) -> tuple[Days, Days]:
    """Move dates to ``until`` where they come before it; a stop waits for nobody.

    All of one shape; an overdue day is then at least ``grace_days`` later.
    """
    if not np.count_nonzero(until):
        return due_day, overdue_day
    held = (until != SILENT) & (due_day != SILENT)
    if stop is not None:
        held &= ~stop
    due = np.where(held, np.maximum(due_day, until), due_day)
    overdue = np.where(held, np.maximum(overdue_day, until + grace_days), overdue_day)
    return due.astype(np.int32), overdue.astype(np.int32)
