"""The operating calendars behind a block's fans: each distinct one once, with an index per fan."""

from __future__ import annotations

import json
import logging
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from schedules.due.reading import among, fetch, listed
from schedules.engine.record import Calendar, CalendarPeriod

log = logging.getLogger(__name__)
NO_SPANS: tuple[tuple[tuple[int, int], ...], ...] = ((),) * 7

PLACES = """
    SELECT f.id, f.system_id, s.time_zone FROM fleet_fan f JOIN fleet_site s ON s.id = f.site_id
    WHERE {}
"""
PERIODS = """
    SELECT p.system_id, p.valid_from, CAST(p.spans AS text), p.always
    FROM fleet_operatingperiod p WHERE {} ORDER BY p.valid_from
"""
CLOSED = "SELECT c.system_id, c.day FROM fleet_closedday c WHERE {} ORDER BY c.day"

Period = tuple[date, str, bool]


def read_calendars(zones: Mapping[int, str]) -> dict[int, Calendar]:
    """Calendars by system id, of systems in these zones; one without operating hours has none."""
    wanted = [listed(sorted(zones))]
    periods: dict[int, list[Period]] = defaultdict(list)
    for system, valid_from, spans, always in fetch(PERIODS.format(among("p.system_id")), wanted):
        periods[system].append((valid_from, spans, bool(always)))
    closed: dict[int, list[date]] = defaultdict(list)
    for system, day in fetch(CLOSED.format(among("c.system_id")), wanted):
        closed[system].append(day)
    calendars: dict[int, Calendar] = {}
    for system, each in periods.items():
        try:
            calendars[system] = _calendar(zones[system], tuple(each), tuple(closed.get(system, ())))
        except (ValueError, TypeError) as error:
            log.error("hours of system %s cannot be read, so are not counted: %s", system, error)
    return calendars


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
    asked = fetch(PLACES.format(among("f.id")), [listed([fan_ids[at] for at in places])])
    system_of = {fan_id: system for fan_id, system, _ in asked}
    by_system = read_calendars({system: zone for _, system, zone in asked})
    number: dict[int, int] = {}
    distinct: list[Calendar] = []
    for at in places:
        calendar = by_system.get(system_of[fan_ids[at]])
        if calendar is None:
            continue
        # By identity: equal hours are one object, and comparing weeks takes longer than reckoning.
        if id(calendar) not in number:
            number[id(calendar)] = len(distinct)
            distinct.append(calendar)
        index[at] = number[id(calendar)]
    return distinct, index
