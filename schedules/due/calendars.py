"""The operating calendars behind fans: read once each, found again by what histories carry."""

from __future__ import annotations

import json
import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from schedules.due.reading import among, fetch, listed
from schedules.engine.calendar_layout import fingerprint
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

MOST_KNOWN = 10_000
"""Distinct calendars kept at a time; a fleet has far fewer, and a pass stays small."""

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


class CalendarBook:
    """The calendars met so far, by the fingerprint that a fan's history carries."""

    def __init__(self) -> None:
        self._known: dict[int, Calendar] = {}

    def find(
        self, fan_ids: Sequence[int], keys: NDArray[np.int64]
    ) -> tuple[list[Calendar], NDArray[np.int32]]:
        """The distinct calendars of fans and, per fan, which it is (-1 for none).

        keys : int64, shape (N,), each fan's ``calendar_key``, 0 for fans that need none

        A fan whose own calendar is another by now, with nobody else keeping its old one, gets none.
        """
        if len(self._known) > MOST_KNOWN:
            self._known.clear()
        distinct, first, of_fan = np.unique(keys, return_index=True, return_inverse=True)
        wanted = distinct.tolist()
        self._learn([(key, fan_ids[at]) for key, at in zip(wanted, first.tolist(), strict=True)])
        if any(key and key not in self._known for key in wanted):
            # Where that fan's calendar has changed since, another fan may still have it.
            self._learn(zip(keys.tolist(), fan_ids, strict=True))
        found = [self._known.get(key) for key in wanted]
        known = np.array([calendar is not None for calendar in found])
        number = np.where(known, np.cumsum(known) - 1, -1).astype(np.int32)
        return [calendar for calendar in found if calendar], number[of_fan]

    def _learn(self, asked: Iterable[tuple[int, int]]) -> None:
        """Read the calendars behind keys not known yet, each from a fan that has it."""
        new = [(key, fan_id) for key, fan_id in asked if key and key not in self._known]
        if not new:
            return
        places = fetch(PLACES.format(among("f.id")), [listed([fan_id for _, fan_id in new])])
        system_of = {fan_id: system for fan_id, system, _ in places}
        by_system = read_calendars({system: zone for _, system, zone in places})
        for key, fan_id in new:
            calendar = by_system.get(system_of[fan_id])
            if calendar is not None and fingerprint(calendar) == key:
                self._known[key] = calendar
