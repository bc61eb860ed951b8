"""Rule 7, after an event: a look at what a cleaning, storm, belt or new machine may have left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import fields as fields_of
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.quantities import LOOK_LISTS
from schedules.engine import new_belt
from schedules.engine.moments import later
from schedules.engine.parameters import DueParams
from schedules.engine.record import Event, FanRecord, Look
from schedules.engine.rule import (
    SILENT,
    Columns,
    Days,
    Earliest,
    Fields,
    RuleColumns,
    Shared,
    earliest,
    silence,
)
from schedules.engine.series import Ints
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


@dataclass(frozen=True)
class _Owed:
    """C looks owed: whose, after what (an index into ``whys``) of which day, by when."""

    fan: Ints
    kind: NDArray[np.int8]
    day: Days
    due_day: Days
    overdue_day: Days

    @staticmethod
    def beside(parts: Sequence[_Owed]) -> _Owed:
        """Those of several parts, in their order."""
        if len(parts) == 1:
            return parts[0]
        names = [entry.name for entry in fields_of(_Owed)]
        return _Owed(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))

    @staticmethod
    def after(kind: int, fan: Ints, day: Days, due_day: Days, overdue_day: Days) -> _Owed:
        """Looks owed after events of one kind, each given by its day."""
        return _Owed(fan, np.full(len(fan), kind, np.int8), day, due_day, overdue_day)


def _after_events(columns: Columns, params: DueParams) -> _Owed:
    """The looks that events ask for."""
    cleaning, storm = params.cleaning, params.storm
    at = columns["event_day"].nonzero()
    kind, day = columns["event_kind"][at], columns["event_day"][at]
    wait = np.array([0, cleaning.due_days, storm.due_days, storm.due_days], np.int32)
    grace = np.array([0, cleaning.overdue_days, storm.overdue_days, storm.overdue_days], np.int32)
    return _Owed(at[0], kind, day, day + wait[kind], day + grace[kind])


def _after_belts(columns: Columns, shared: Shared, params: DueParams) -> _Owed:
    fan, due, overdue = new_belt.dates(columns, shared, params)
    return _Owed.after(BELT, fan, columns["belt_day"][fan], due, overdue)


def _after_machines(columns: Columns, params: DueParams) -> Iterator[_Owed]:
    """Start-up checks and second looks that are not settled."""
    rule, since = params.machine, columns["machine_day"]
    new, seen = since != SILENT, columns["machine_look_day"]
    for kind, owed, days in (
        (START_UP, new & ~columns["machine_started"], rule.start_up_days),
        (AFTER_START_UP, new & (seen < since + rule.second_settled_days), rule.second_days),
    ):
        fan = np.flatnonzero(owed)
        due = since[fan] + np.int32(days)
        yield _Owed.after(kind, fan, since[fan], due, due + np.int32(rule.grace_days))


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the look that the earliest unsettled event asks for."""
    parts: list[_Owed] = []
    if columns["event_day"].any():
        parts.append(_after_events(columns, params))
    if columns["belt_day"].any():
        parts.append(_after_belts(columns, shared, params))
    if columns["machine_day"].any():
        parts += _after_machines(columns, params)
    if not parts:
        return silence(len(columns), len(arg_names))
    owed = _Owed.beside(parts)
    due, overdue = shared.place(owed.due_day, owed.overdue_day, owed.day, fan=owed.fan)
    first = earliest(len(columns), owed.fan, due, overdue, owed.kind)
    counted = shared.calendar_index[owed.fan] >= 0
    by_hours = np.where(owed.kind == BELT, counted, np.nan)
    told = owed.day, by_hours, *_also_owed(owed, due, overdue, first)
    return RuleColumns.of(first, owed.kind, told)


def _also_owed(
    owed: _Owed, due: Days, overdue: Days, first: Earliest
) -> tuple[NDArray[np.float64], ...]:
    """How many looks the fan owes; kind, day and due day of its next after the first, (C,) each."""
    fans = len(first.due_day)
    count = np.bincount(owed.fan[due != SILENT], minlength=fans)
    told = np.full((3, fans), np.nan)
    if count.max() > 1:
        rest = due.copy()
        rest[first.which] = SILENT
        after = earliest(fans, owed.fan, rest, overdue, owed.kind)
        told[:, after.fan] = [each[after.which] for each in (owed.kind, owed.day, due)]
    return count[owed.fan], *told[:, owed.fan]
