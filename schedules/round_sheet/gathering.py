"""Rounds as sheets for paper: every stop with its fans, read in a fixed number of statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from fleet.models import Blocker
from schedules.models import Booking, PlannedRound, PlannedStop, PlanVersion, StopFan
from schedules.round_sheet.fan_file import FanFile
from schedules.round_sheet.records import Record, read_records
from schedules.rounds.clocks import WeekClock
from schedules.rounds.qualified import skills_needed
from schedules.rounds.storing import rounds_of

JUST_CLEARED = timedelta(days=14)
"""So long a blocker that was cleared is still told, for what was ordered should be there."""


@dataclass(frozen=True)
class StopFile:
    """One stop in its place; ``blockers`` hold that day or were cleared lately.

    ``skills`` are qualifications that it needs.
    """

    number: int
    row: PlannedStop
    fans: Sequence[FanFile]
    blockers: Sequence[Blocker]
    skills: Sequence[str]


@dataclass(frozen=True)
class RoundFile:
    """One technician's day; ``beside`` are bookings of that day which no stop stands for."""

    row: PlannedRound
    stops: Sequence[StopFile]
    beside: Sequence[Booking]


@dataclass(frozen=True)
class RoundFiles:
    """Rounds of a version in order of day and technician."""

    version: PlanVersion
    clock: WeekClock
    rounds: Sequence[RoundFile]


def read_rounds(version: PlanVersion, clock: WeekClock, **which: object) -> RoundFiles:
    """A version's rounds, or those ``which`` picks, with all that their sheets tell."""
    rows = rounds_of(version, **which)
    days: dict[int, date] = {}
    for row in rows:
        for stop in row.stops.all():
            for work in stop.fans.all():
                days.setdefault(work.fan_id, row.day)
    records, blockers, beside = read_records(days), _blockers(rows), _beside(rows)
    return RoundFiles(
        version,
        clock,
        [
            _round(
                row, records, blockers, beside.get((row.technician_id, row.day), ()), clock.monday
            )
            for row in rows
        ],
    )


def _round(
    row: PlannedRound,
    records: Mapping[int, Record],
    blockers: Sequence[Blocker],
    beside: Sequence[Booking],
    monday: date,
) -> RoundFile:
    qualified = row.technician.qualified_energised_work
    return RoundFile(
        row,
        [
            StopFile(
                number,
                stop,
                list(_fans(stop, records, is_qualified=qualified)),
                [each for each in blockers if _is_there(each, stop, row.day)],
                skills_needed(stop, blockers, monday),
            )
            for number, stop in enumerate(row.stops.all(), 1)
        ],
        beside,
    )


def _fans(
    stop: PlannedStop, records: Mapping[int, Record], *, is_qualified: bool
) -> Iterator[FanFile]:
    """Each fan once, whatever skills its work takes."""
    planned: dict[int, list[StopFan]] = defaultdict(list)
    for work in stop.fans.all():
        planned[work.fan_id].append(work)
    files = [
        FanFile(works[0].fan, works, records[fan_id], is_qualified)
        for fan_id, works in planned.items()
    ]
    yield from sorted(files, key=lambda each: each.fan.tag)


def _blockers(rows: Collection[PlannedRound]) -> list[Blocker]:
    """What holds on one of these days at one of their sites, or was cleared shortly before."""
    sites = {stop.site_id for row in rows for stop in row.stops.all()}
    if not sites:
        return []
    days = [row.day for row in rows]
    lately = Q(cleared_on=None) | Q(cleared_on__gte=min(days) - JUST_CLEARED)
    found = Blocker.objects.filter(lately, site__in=sites, since_on__lte=max(days))
    return list(found.select_related("fan"))


def _is_there(blocker: Blocker, stop: PlannedStop, day: date) -> bool:
    if blocker.site_id != stop.site_id or blocker.since_on > day:
        return False
    return blocker.cleared_on is None or blocker.cleared_on >= day - JUST_CLEARED


def _beside(rows: Collection[PlannedRound]) -> Mapping[tuple[int, date], list[Booking]]:
    """By technician and day, standing bookings that none of the round's stops stands for."""
    stops = [stop for row in rows for stop in row.stops.all()]
    known = {stop.booking_id for stop in stops if stop.booking_id}
    found: dict[tuple[int, date], list[Booking]] = defaultdict(list)
    standing = Booking.objects.standing().filter(
        technician__in={row.technician_id for row in rows}, day__in={row.day for row in rows}
    )
    for booking in standing.exclude(pk__in=known).select_related("site"):
        found[booking.technician_id, booking.day].append(booking)
    return found
