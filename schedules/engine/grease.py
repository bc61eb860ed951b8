"""Rule 4, grease load: a place is looked at again before its grease has grown to the limit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import EllipsisType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fleet.quantities import GREASE_PLACES
from schedules.engine.grease_line import GreaseBasis, GreaseCrossing, grease_crossing
from schedules.engine.moments import in_time, later
from schedules.engine.parameters import DueParams
from schedules.engine.record import FanRecord, Grease, Look
from schedules.engine.rule import (
    SILENT,
    Columns,
    Fields,
    RuleColumns,
    Shared,
    earliest,
    silence,
)
from schedules.engine.series import Floats, Ints

number = 4
whys = ("", *(basis.name.lower() for basis in GreaseBasis if basis))
"""What the crossing rests on, by ``GreaseBasis``."""

cannot_tells = ("",)
arg_names = (
    "place", "last_day", "last_depth_um", "limit_um", "slope_um_d", "crossing_day", "readings",
)  # fmt: skip
"""``place`` is an index into ``GREASE_PLACES``."""

Cleaning = tuple[int, int | None]
"""Day and minute; the minute sorts first where it is not known."""

EMPTIED_BY = frozenset({"cleaned", "replaced"})


def fields(room: int) -> Fields:
    """Per place: its last cleaning, and depths since, the one as left first where there is one."""
    return tuple(
        field
        for place in GREASE_PLACES
        for field in (
            (f"grease_{place}_cleaned_day", "i4"),
            (f"grease_{place}_limit_um", "f8"),
            (f"grease_{place}_day", "i4", (8 * room,)),
            (f"grease_{place}_low_um", "f8", (8 * room,)),
            (f"grease_{place}_high_um", "f8", (8 * room,)),
        )
    )


def fold(record: FanRecord, params: DueParams) -> Mapping[str, Any]:
    """Pick the depths since each place was last cleaned."""
    cleanings, read = _cleanings(record), _depths(record)
    facts: dict[str, Any] = {}
    for place in GREASE_PLACES:
        cleaning = max(cleanings[place], key=_order, default=None)
        live = list(_since(cleaning, read[place]))
        facts[f"grease_{place}_cleaned_day"] = cleaning[0] if cleaning else SILENT
        facts[f"grease_{place}_limit_um"] = live[-1][1].limit_um if live else 0.0
        facts[f"grease_{place}_day"] = [day for day, _ in live]
        for end, pick in (("low", min), ("high", max)):
            facts[f"grease_{place}_{end}_um"] = [pick(d.low_um, d.high_um) for _, d in live]
    return facts


def _order(cleaning: Cleaning) -> tuple[int, int]:
    return cleaning[0], -1 if cleaning[1] is None else cleaning[1]


def _cleanings(record: FanRecord) -> dict[str, list[Cleaning]]:
    """When each place was cleaned, in no order."""
    cleanings: dict[str, list[Cleaning]] = {place: [] for place in GREASE_PLACES}
    for event in record.events:
        if event.kind == "hood_cleaning":
            for place in event.places:
                cleanings[place].append((event.end_day, event.end_minute))
    for action in record.actions:
        if action.kind in EMPTIED_BY and action.item in cleanings:
            cleanings[action.item].append((action.day, action.minute))
    cleanings["housing"].extend(
        (machine.since_day, None) for machine in record.machines if not machine.first
    )
    return cleanings


def _depths(record: FanRecord) -> dict[str, list[tuple[Look, Grease]]]:
    """Looks in time that read each place, with the deepest reading there."""
    read: dict[str, list[tuple[Look, Grease]]] = {place: [] for place in GREASE_PLACES}
    for look in in_time(look for look in record.looks if look.grease):
        deepest: dict[str, Grease] = {}
        for grease in look.grease:
            if grease.place not in deepest or grease.high_um > deepest[grease.place].high_um:
                deepest[grease.place] = grease
        for place, grease in deepest.items():
            read[place].append((look, grease))
    return read


def _since(
    cleaning: Cleaning | None, read: Sequence[tuple[Look, Grease]]
) -> Iterator[tuple[int, Grease]]:
    """The depth as left by the cleaning, then those found on later days."""
    if cleaning:
        left = [(look.day, depth) for look, depth in read if _as_left(look, *cleaning)]
        yield from left[-1:]
    for look, depth in read:
        if look.stage == "as_found" and (cleaning is None or look.day > cleaning[0]):
            yield look.day, depth


def _as_left(look: Look, day: int, minute: int | None) -> bool:
    """True if the look shows how the cleaning left the place."""
    if look.day != day:
        return False
    if look.stage == "as_found":
        return later(look.day, look.minute, day, minute)
    return not later(day, minute, look.day, look.minute)


def reckon(columns: Columns, shared: Shared, params: DueParams) -> RuleColumns:
    """Date the look before the first place reaches its limit."""
    read = [np.flatnonzero(columns[f"grease_{place}_day"][:, 0]) for place in GREASE_PLACES]
    if not any(map(len, read)):
        return silence(len(columns), len(arg_names))
    fan, place = np.concatenate(read), np.repeat(np.arange(len(read)), list(map(len, read)))
    limit_um, found = _crossing(columns, read, params)
    never = np.isnan(found.crossing_day)
    crossing = np.where(never, SILENT, found.crossing_day).astype(np.int32)
    last = found.last_day.astype(np.int32)
    due = np.maximum(crossing - np.int32(params.grease.lead_days), last + 1)
    overdue = np.maximum(crossing, due)
    due = np.where(never, SILENT, due)
    first = earliest(len(columns), fan, *shared.place(due, overdue, last, fan=fan))
    evidence = (
        place, found.last_day, found.last_depth_um, limit_um, found.slope_um_d, found.crossing_day,
        found.readings,
    )  # fmt: skip
    return RuleColumns.of(first, found.basis, evidence)


def _crossing(
    columns: Columns, read: Sequence[Ints], params: DueParams
) -> tuple[Floats, GreaseCrossing]:
    """Limit [um] and crossing of the fans ``read`` at each place, place after place, shape (M,)."""

    def taken(name: str, of: slice | EllipsisType = ...) -> NDArray[Any]:
        # Rows are long: taking whole ones first costs more than all that follows.
        each = zip(GREASE_PLACES, read, strict=True)
        return np.concatenate([columns[f"grease_{place}_{name}"][fans, of] for place, fans in each])

    day = taken("day")
    filled = slice(np.count_nonzero(day.any(axis=0)))
    cleaned, limit_um = taken("cleaned_day"), taken("limit_um")
    return limit_um, grease_crossing(
        np.where(day == SILENT, np.nan, day)[:, filled],
        taken("low_um", filled),
        limit_um,
        np.where(cleaned == SILENT, np.nan, cleaned),
        high_um=taken("high_um", filled),
        params=params.grease,
    )
