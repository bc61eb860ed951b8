"""Whose day is to be told at an instant, and what has changed since it was told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import partial
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import F, Max

from fleet.models import Person
from schedules.bookings.calendar import told_by
from schedules.models import DRAFT, Booking, Notice, PlannedRound
from schedules.notices.addressees import is_working_day
from schedules.notices.day.roofs import Roofs
from schedules.notices.day.words import TechnicianDay, day_words
from schedules.notices.letter import Letter, Unreachable, to_person
from schedules.office import office

EVENING = time(17)
"""When a day is told, on the last working day before it, by the clock of its first roof."""
AHEAD = timedelta(days=12)
"""No run of weekends and holidays is longer."""
DAY = timedelta(days=1)
Key = tuple[int, date]
"""A technician and a day."""


@dataclass
class Told:
    """What was last told of somebody's day, by how many letters: UIDs with their sequence."""

    letters: int = 0
    bookings: Mapping[UUID, int] = field(default_factory=dict)


def day_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """Letters owed at ``now``: days that nobody has told yet, or not as they stand."""
    first, last = now.date() - DAY, now.date() + AHEAD
    booked = _booked(first, last)
    told = _told(first, now)
    new: dict[Key, Sequence[Booking]] = {}
    for key in sorted({*booked, *told}):
        stands = {booking.pk: booking.sequence for booking in booked.get(key, ())}
        if stands != told.get(key, Told()).bookings:
            new[key] = booked.get(key, ())
    gone = _gone(new, told)
    country = office().country if new else ""
    owed = {}
    for (person_id, day), rows in new.items():
        known = [*rows, *gone.get((person_id, day), ())]
        if known and is_evening_before(day, known[0].site.zone, country, now):
            owed[person_id, day] = known
    sites: dict[date, set[int]] = defaultdict(set)
    for key in owed:
        sites[key[1]] |= {row.site_id for row in new[key]}
    roofs = {day: Roofs(day, site_ids) for day, site_ids in sites.items()}
    planned = _planned(owed)
    for key, known in owed.items():
        before = told.get(key, Told())
        yield _letter(known, new[key], before, roofs[key[1]], planned.get(key), now)


def is_evening_before(day: date, zone: ZoneInfo, country: str, now: datetime) -> bool:
    """Whether the evening on which a day is told has begun there, and the day is not over."""
    evening = day - DAY
    while not is_working_day(evening, country):
        evening -= DAY
    begins = datetime.combine(evening, EVENING, zone)
    ends = datetime.combine(day + DAY, time(), zone)
    return begins <= now < ends


def _letter(
    known: Sequence[Booking],
    rows: Sequence[Booking],
    told: Told,
    roofs: Roofs,
    planned: PlannedRound | None,
    now: datetime,
) -> Letter | Unreachable:
    person, day = known[0].technician, roofs.day
    gone = [row for row in known if row not in rows]
    is_again = bool(told.letters)
    sheet = TechnicianDay(person, day, rows, gone, told.bookings, is_again, planned, now)
    nth = f".{told.letters + 1}" if told.letters else ""
    return to_person(
        Notice.Kind.DAY, person, f"{day.isoformat()}{nth}", partial(day_words, sheet, roofs)
    )


def _booked(first: date, last: date) -> Mapping[Key, Sequence[Booking]]:
    """Standing bookings by technician and day, in order of time; any time that day comes last."""
    rows = Booking.objects.standing().filter(day__range=(first, last), technician__is_active=True)
    found: dict[Key, list[Booking]] = defaultdict(list)
    for row in rows.select_related("technician", "site__owner"):
        found[row.technician_id, row.day].append(row)
    return {key: sorted(each, key=in_order) for key, each in found.items()}


def _planned(keys: Collection[Key]) -> Mapping[Key, PlannedRound]:
    """Those days that are a round of their week's version in force."""
    if not keys:
        return {}
    people, days = {person for person, _ in keys}, {day for _, day in keys}
    rows = PlannedRound.objects.filter(
        version__number__gt=DRAFT, technician__in=people, day__in=days
    )
    in_force = rows.annotate(last=Max("version__plan__versions__number")).order_by()
    found = in_force.filter(version__number=F("last")).prefetch_related("stops")
    return {(row.technician_id, row.day): row for row in found}


def in_order(booking: Booking) -> tuple[bool, int, str]:
    """By time, those of any time that day last, then by site."""
    return booking.from_minute is None, booking.from_minute or 0, booking.site.name


def _told(first: date, now: datetime) -> Mapping[Key, Told]:
    """What the last letter about each day said, of days from ``first`` on."""
    letters = Notice.objects.filter(
        kind=Notice.Kind.DAY,
        period__gte=first.isoformat(),
        owed_at__gte=now - 2 * AHEAD,
    )
    active = set(Person.objects.filter(is_active=True).values_list("pk", flat=True))
    last: dict[Key, tuple[int, str]] = {}
    for person_id, period, calendar in letters.order_by("pk").values_list(
        "person", "period", "calendar"
    ):
        if person_id not in active:
            continue
        key = person_id, date.fromisoformat(period.partition(".")[0])
        last[key] = last.get(key, (0, ""))[0] + 1, calendar
    return {key: Told(count, _said(calendar, key[1])) for key, (count, calendar) in last.items()}


def _said(calendar: str, day: date) -> Mapping[UUID, int]:
    return {uid: sequence for uid, (on, sequence) in told_by(calendar).items() if on == day}


def _gone(new: Iterable[Key], told: Mapping[Key, Told]) -> Mapping[Key, Sequence[Booking]]:
    """What was told of these days and takes place then no longer: withdrawn or moved."""
    uids = {uid for key in new if key in told for uid in told[key].bookings}
    if not uids:
        return {}
    rows = Booking.objects.select_related("technician", "site__owner").in_bulk(uids)
    found: dict[Key, list[Booking]] = defaultdict(list)
    for key in new:
        for uid in told.get(key, Told()).bookings:
            row = rows.get(uid)
            if row and (row.withdrawn_at or row.day != key[1]):
                found[key].append(row)
    return found
