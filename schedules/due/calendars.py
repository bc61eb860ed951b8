"""The operating calendars behind a block's fans: each distinct one once, with an index per fan."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from schedules.due.reading import among, fetch, listed
from schedules.engine.record import Calendar, CalendarPeriod

NO_SPANS: tuple[tuple[tuple[int, int], ...], ...] = ((),) * 7

PERIODS = """
    SELECT p.system_id, s.time_zone, p.valid_from, CAST(p.spans AS text), p.always
    FROM fleet_operatingperiod p
    JOIN fleet_exhaustsystem e ON e.id = p.system_id
    JOIN fleet_site s ON s.id = e.site_id
    WHERE {} ORDER BY p.valid_from
"""
CLOSED = "SELECT c.system_id, c.day FROM fleet_closedday c WHERE {} ORDER BY c.day"
SYSTEMS = "SELECT f.id, f.system_id FROM fleet_fan f WHERE {}"

Period = tuple[date, str, bool]


def read_calendars(systems: Sequence[int]) -> dict[int, Calendar]:
    """Calendars by system id; a system without operating hours has none."""
    wanted = listed(sorted(set(systems)))
    zones: dict[int, str] = {}
    periods: dict[int, list[Period]] = defaultdict(list)
    for system, zone, valid_from, spans, always in fetch(
        PERIODS.format(among("p.system_id")), [wanted]
    ):
        zones[system] = zone
        periods[system].append((valid_from, spans, bool(always)))
    closed: dict[int, list[date]] = defaultdict(list)
    for system, day in fetch(CLOSED.format(among("c.system_id")), [wanted]):
        closed[system].append(day)
    return {
        system: _calendar(zone, tuple(periods[system]), tuple(closed.get(system, ())))
        for system, zone in zones.items()
    }


@lru_cache(maxsize=4096)
def _calendar(zone: str, periods: tuple[Period, ...], closed: tuple[date, ...]) -> Calendar:
    """One object for all systems with the same hours, so that they are laid out once."""
    return Calendar(
        zone,
        tuple(CalendarPeriod(d.toordinal(), _week(spans), always) for d, spans, always in periods),
        tuple(day.toordinal() for day in closed),
    )


def _week(spans: str) -> tuple[tuple[tuple[int, int], ...], ...]:
    week = json.loads(spans)
    return tuple(tuple((int(a), int(b)) for a, b in day) for day in week) or NO_SPANS


def calendars_of(
    fan_ids: Sequence[int], wanted: NDArray[np.bool_]
) -> tuple[list[Calendar], NDArray[np.int32]]:
    """The distinct calendars of the fans ``wanted`` and, per fan, which it is (-1 for none)."""
    index = np.full(len(fan_ids), -1, np.int32)
    places = np.flatnonzero(wanted).tolist()
    if not places:
        return [], index
    system = dict(fetch(SYSTEMS.format(among("f.id")), [listed([fan_ids[i] for i in places])]))
    by_system = read_calendars(list(system.values()))
    distinct = {id(calendar): calendar for calendar in by_system.values()}
    number = {key: place for place, key in enumerate(distinct)}
    for place in places:
        calendar = by_system.get(system[fan_ids[place]])
        if calendar is not None:
            index[place] = number[id(calendar)]
    return list(distinct.values()), index
