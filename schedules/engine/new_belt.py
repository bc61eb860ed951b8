"""The part of rule 7 that counts hours: a new belt is retensioned after its first running day."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from fleet.quantities import LOOK_LISTS
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord
from schedules.engine.rule import SILENT, Columns, Days, Fields, Shared
from schedules.engine.series import Ints

FIELDS: Fields = (("belt_day", "i4"), ("belt_look_day", "i4"))


def fold(record: FanRecord) -> Mapping[str, Any]:
    """Pick the last belt put on this machine and the last look at belt and vibration since."""
    since = record.machines[-1].since_day
    belts = [
        action.day
        for action in record.actions
        if action.kind == "replaced" and action.item == "belt" and action.day >= since
    ]
    belt = max(belts, default=SILENT)
    wanted = LOOK_LISTS["new_belt"]
    looks = [
        look.day
        for look in record.looks
        if belt < look.day and look.stage == "as_found" and look.answered.issuperset(wanted)
    ]
    return {"belt_day": belt, "belt_look_day": max(looks, default=SILENT) if belt else SILENT}


def dates(columns: Columns, shared: Shared, params: DueParams) -> tuple[Ints, Days, Days]:
    """Fans that owe a look at a new belt, with its due and overdue day, shape (C,) each.

    Hours count from the day after the belt's; a fan without a calendar for that day goes by days.
    """
    rule, hours = params.belt, shared.hours
    fan = np.flatnonzero(columns["belt_day"])
    belt, look = columns["belt_day"][fan], columns["belt_look_day"][fan]
    calendar, begin = shared.calendar_index[fan], belt + 1
    first = hours.run_out_day(calendar, begin, np.full(len(belt), rule.due_hours))
    last = hours.run_out_day(calendar, begin, np.full(len(belt), rule.overdue_hours))
    blind = ~hours.knows_day(calendar, begin)
    due = np.where(blind, belt + rule.blind_due_days, np.maximum(first, belt + rule.least_days))
    overdue = np.where(blind, belt + rule.blind_overdue_days, np.fmax(last, due))
    run = hours.hours_between(calendar, begin, np.maximum(look, belt) + 1)
    enough = np.where(blind, look >= belt + rule.least_days, run >= rule.settled_hours)
    # A calendar that never opens again: a belt that never runs is never due.
    owed = ~(((look != SILENT) & enough) | np.isnan(due))
    return fan[owed], due[owed].astype(np.int32), overdue[owed].astype(np.int32)
