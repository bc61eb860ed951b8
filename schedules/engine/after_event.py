"""Rule 7, after an event: a look at what a cleaning, storm, belt or new machine may have left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.quantities import LOOK_LISTS
from schedules.engine import new_belt
from schedules.engine.moments import later
from schedules.engine.parameters import DueParams
from schedules.engine.record import Event, FanRecord, Look
from schedules.engine.rule import SILENT, Columns, Days, Fields, RuleColumns, Shared, earliest
from schedules.engine.walk_through import is_walk_through

number = 7
whys = (
    "", "hood_cleaning", "storm", "power_event", "new_belt", "start_up", "after_start_up",
)  # fmt: skip
cannot_tells = ("",)
arg_names = ("event_day", "by_hours", "owed_count", "next_kind", "next_day", "next_due_day")

EVENTS = whys[1:4]
BELT, START_UP, AFTER_START_UP = (whys.index(name) for name in whys[4:])
_START_UP_LIST = frozenset(LOOK_LISTS["start_up"])


def fields(room: int) -> Fields:
    """Events not yet looked after, and what is new on the fan."""
    return (
        ("event_kind", "i1", (4 * room,)),
        ("event_day", "i4", (4 * room,)),
        ("machine_day", "i4"),
        ("machine_started", "?"),
        ("machine_look_day", "i4"),
        *new_belt.FIELDS,
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the events that no later look has settled."""
    seen = {kind: _last_look(record, kind) for kind in {event.kind for event in record.events}}
    events = _first_ones(record, [e for e in record.events if _unsettled(e, seen[e.kind])])
    return {
        "event_kind": [kind for kind, _ in events],
        "event_day": [day for _, day in events],
        **_machine(record),
        **new_belt.fold(record),
    }


def _first_ones(record: FanRecord, unsettled: list[Event]) -> list[tuple[int, int]]:
    """First unsettled event of each kind, anew after each time out of service.

    Between two of these the later event never has the earlier date: years of cleanings that nobody
    looked after take one place.
    """
    first: dict[tuple[int, int], int] = {}
    for kind, day in map(_kind_and_day, unsettled):
        stretch = kind, sum(span.day < day for span in record.out_of_service)
        first[stretch] = min(day, first.get(stretch, day))
    return sorted((kind, day) for (kind, _), day in first.items())


def _kind_and_day(event: Event) -> tuple[int, int]:
    """Which event, and the day its days are counted from: a cleaning's end, else the start."""
    cleaning = event.kind == "hood_cleaning"
    return whys.index(event.kind), event.end_day if cleaning else event.start_day


def _last_look(record: FanRecord, kind: str) -> tuple[int, int | None]:
    """Day and minute of the last as-found look that answered what this kind of event asks."""
    if kind not in EVENTS:
        return SILENT, None
    wanted = frozenset(LOOK_LISTS[kind])
    looks = (look for look in record.looks if look.stage == "as_found" and wanted <= look.answered)
    last = max(looks, key=lambda look: (look.day, look.minute or 0), default=None)
    return (last.day, last.minute) if last else (SILENT, None)


def _unsettled(event: Event, seen: tuple[int, int | None]) -> bool:
    if event.kind not in EVENTS:
        return False
    runs = event.running_day is not None and event.running_day >= event.start_day
    if runs and event.kind != "hood_cleaning":
        return False
    return not later(*seen, event.end_day, event.end_minute)


def _machine(record: FanRecord) -> Mapping[str, Any]:
    """Day the machine in place came to replace another, and the looks it had since."""
    place, machine = len(record.machines) - 1, record.machines[-1]
    looks = [look for look in record.looks if look.machine == place]
    since = [] if machine.first else [look for look in looks if look.day >= machine.since_day]
    seen = (look.day for look in since if _is_second_look(record, look))
    return {
        "machine_day": SILENT if machine.first else machine.since_day,
        "machine_started": any(_is_start_up(look) for look in since),
        "machine_look_day": max(seen, default=SILENT),
    }


def _is_start_up(look: Look) -> bool:
    # On the replacement visit the new machine is what was left, not what was found.
    counts = look.stage == "as_found" or look.visit_kind == "replacement"
    return counts and look.answered >= _START_UP_LIST


def _is_second_look(record: FanRecord, look: Look) -> bool:
    listed = look.answered >= _START_UP_LIST or is_walk_through(record, look)
    return look.stage == "as_found" and listed


def _after_events(columns: Columns, params: DueParams) -> tuple[Days, Days]:
    """Due and overdue day of each event, shape (N, K)."""
    cleaning, storm = params.cleaning, params.storm
    kind, day = columns["event_kind"], columns["event_day"]
    wait = np.array([0, cleaning.due_days, storm.due_days, storm.due_days], np.int32)
    grace = np.array([0, cleaning.overdue_days, storm.overdue_days, storm.overdue_days], np.int32)
    return day + wait[kind], day + grace[kind]


def _after_machine(columns: Columns, params: DueParams) -> Days:
    """Start-up check and the second look, SILENT once settled, shape (N, 2)."""
    rule, since = params.machine, columns["machine_day"]
    new = since != SILENT
    first = new & ~columns["machine_started"]
    second = new & (columns["machine_look_day"] < since + rule.second_settled_days)
    days = np.column_stack([since + rule.start_up_days, since + rule.second_days])
    return np.where(np.column_stack([first, second]), days, SILENT)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the look that the earliest unsettled event asks for."""
    due, overdue = _after_events(columns, params)
    belt_due, belt_overdue = new_belt.days(columns, shared, params)
    machine_due = _after_machine(columns, params)
    since = columns["machine_day"]
    kinds = np.zeros((len(due), due.shape[1] + 3), np.int8)
    kinds[:, :-3], kinds[:, -3:] = columns["event_kind"], (BELT, START_UP, AFTER_START_UP)
    fact = np.column_stack([columns["event_day"], columns["belt_day"], since, since])
    due = np.column_stack([due, belt_due, machine_due]).astype(np.int32)
    overdue = np.column_stack([overdue, belt_overdue, machine_due + params.machine.grace_days])
    due = np.where(fact == SILENT, SILENT, due)
    due, overdue = shared.place(due, overdue.astype(np.int32), fact)
    first_due, first_overdue, index = earliest(due, overdue, kinds)
    rows = np.arange(len(first_due))
    by_hours = np.where(kinds[rows, index] == BELT, shared.calendar_index >= 0, np.nan)
    owed = _also_owed(due, overdue, kinds, fact, index)
    return RuleColumns(
        due_day=first_due,
        overdue_after_day=first_overdue,
        why=kinds[rows, index],
        cannot_tell=np.zeros(len(first_due), np.int8),
        args=np.column_stack([fact[rows, index], by_hours, owed]).astype(np.float32),
    )


def _also_owed(
    due: Days, overdue: Days, kinds: NDArray[np.int8], fact: Days, first: NDArray[np.intp]
) -> NDArray[np.float32]:
    """How many looks are owed; kind, day and due day of the next after the first, shape (N, 4)."""
    count = (due != SILENT).sum(axis=1)
    told = np.full((len(due), 4), np.nan, np.float32)
    told[:, 0] = count
    more = np.flatnonzero(count > 1)
    if more.size:
        rest, rows = due[more], np.arange(more.size)
        rest[rows, first[more]] = SILENT
        next_due, _, index = earliest(rest, overdue[more], kinds[more])
        told[more, 1:] = np.column_stack(
            [kinds[more][rows, index], fact[more][rows, index], next_due]
        )
    return told
