"""The operating calendars behind fans: read once each, found again by what histories carry."""

from __future__ import annotations

import json
import logging
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np
from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast
from numpy.typing import NDArray

from config.questions import Part, Question, Row, Values
from fleet.models import ClosedDay, Fan, OperatingPeriod
from schedules.engine.calendar_layout import fingerprint
from schedules.engine.record import Calendar, CalendarPeriod

log = logging.getLogger(__name__)
NO_SPANS: tuple[tuple[tuple[int, int], ...], ...] = ((),) * 7

MOST_KNOWN = 10_000
"""Distinct calendars kept at a time; a fleet has far fewer, and a pass stays small."""

FAN_COLUMNS = (
    "id", "tag", "site_id", "system_id", "entered_on", "onboarding_on", "hour_meter_digits",
    "site__time_zone", "site__surroundings", "site__owner_id",
)  # fmt: skip

Period = tuple[date, str, bool]


def places(given: Mapping[str, Any], place: str) -> Values:
    """The fans' systems, sites or owners."""
    path = "site__owner" if place == "owner" else place
    return Fan.objects.filter(pk__among=given["fans"]).values(path)


def of_place(
    place: str, rows: Callable[[], QuerySet[Any]], order: Sequence[str], *columns: str
) -> Part:
    """What hangs on the fans' systems, sites or owners."""
    names = dict.fromkeys((f"{place}_id", *order, *columns))
    return lambda given: (
        rows().filter(**{f"{place}__in": places(given, place)}).order_by(*order).values(*names)
    )


OF_CALENDARS: dict[str, Part] = {
    "fans": lambda given: (
        Fan.objects.filter(pk__among=given["fans"]).order_by("id").values(*FAN_COLUMNS)
    ),
    # As text: equal hours are told by comparing, and seldom read.
    "periods": of_place(
        "system",
        lambda: OperatingPeriod.objects.annotate(told=Cast("spans", TextField())),
        ("valid_from",),
        "told",
        "always",
    ),
    "closed": of_place("system", ClosedDay.objects.all, ("day",)),
}
CALENDARS = Question(["fans"], **OF_CALENDARS)


def read_calendars(fan_ids: Sequence[int]) -> dict[int, Calendar]:
    """Calendars by fan id; a fan whose system has no operating hours has none."""
    return calendars_in(CALENDARS.ask(fans=fan_ids))


def calendars_in(found: Mapping[str, Sequence[Row]]) -> dict[int, Calendar]:
    """Calendars by fan id, out of rows named as in ``OF_CALENDARS``."""
    periods: dict[int, list[Period]] = defaultdict(list)
    for row in found["periods"]:
        periods[row["system_id"]].append((row["valid_from"], row["told"], row["always"]))
    closed: dict[int, list[date]] = defaultdict(list)
    for row in found["closed"]:
        closed[row["system_id"]].append(row["day"])
    zones = {row["system_id"]: row["site__time_zone"] for row in found["fans"]}
    of_system: dict[int, Calendar] = {}
    for system, each in periods.items():
        try:
            days = tuple(closed.get(system, ()))
            of_system[system] = _calendar(zones[system], tuple(each), days)
        except (ValueError, TypeError) as error:
            log.error("hours of system %s cannot be read, so are not counted: %s", system, error)
    return {
        row["id"]: of_system[row["system_id"]]
        for row in found["fans"]
        if row["system_id"] in of_system
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
        of_fan = keys.tolist()
        last = dict(zip(of_fan, fan_ids, strict=True))
        self._learn(last.items())
        if any(key and key not in self._known for key in last):
            # Where that fan's calendar has changed since, another fan may still have it.
            self._learn(zip(of_fan, fan_ids, strict=True))
        number = {key: at for at, key in enumerate(key for key in last if key in self._known)}
        index = [number.get(key, -1) for key in of_fan]
        return [self._known[key] for key in number], np.array(index, np.int32)

    def add(self, calendars: Iterable[Calendar]) -> None:
        """Know these, which somebody has read."""
        self._known |= {fingerprint(calendar): calendar for calendar in calendars}

    def _learn(self, asked: Iterable[tuple[int, int]]) -> None:
        """Read the calendars behind keys not known yet, each from a fan that has it."""
        new = [(key, fan_id) for key, fan_id in asked if key and key not in self._known]
        if not new:
            return
        by_fan = read_calendars([fan_id for _, fan_id in new])
        for key, fan_id in new:
            calendar = by_fan.get(fan_id)
            if calendar is not None and fingerprint(calendar) == key:
                self._known[key] = calendar
