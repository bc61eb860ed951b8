"""The operating calendars of a block's systems, each once, with an index per fan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fleet.models import ClosedDay, ExhaustSystem, OperatingPeriod
from schedules.engine.record import Calendar, CalendarPeriod

NO_SPANS: tuple[tuple[tuple[int, int], ...], ...] = ((),) * 7


def read_calendars(systems: Sequence[int]) -> dict[int, Calendar]:
    """Calendars by system id; a system without operating hours has none."""
    periods: dict[int, list[CalendarPeriod]] = defaultdict(list)
    rows = OperatingPeriod.objects.filter(system__in=systems).order_by("valid_from")
    for system, valid_from, spans, always in rows.values_list(
        "system_id", "valid_from", "spans", "always"
    ):
        weekly = tuple(tuple((int(a), int(b)) for a, b in day) for day in spans) or NO_SPANS
        periods[system].append(CalendarPeriod(valid_from.toordinal(), weekly, always))
    closed: dict[int, list[int]] = defaultdict(list)
    closings = ClosedDay.objects.filter(system__in=list(periods)).order_by("day")
    for system, day in closings.values_list("system_id", "day"):
        closed[system].append(day.toordinal())
    zones = ExhaustSystem.objects.filter(pk__in=list(periods)).values_list("pk", "site__time_zone")
    return {
        system: Calendar(zone, tuple(periods[system]), tuple(closed[system]))
        for system, zone in zones
    }


def calendars_of(systems: Sequence[int]) -> tuple[list[Calendar], NDArray[np.int32]]:
    """The distinct calendars of these systems and, per entry, which it is (-1 for none)."""
    by_system = read_calendars(sorted(set(systems)))
    place = {system: index for index, system in enumerate(by_system)}
    index = np.fromiter((place.get(s, -1) for s in systems), np.int32, len(systems))
    return list(by_system.values()), index
