"""What published weeks promised: each fan's work once a week, by the version in force."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import reduce
from operator import or_
from typing import Any, NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.db.models.fields.json import KeyTextTransform

from schedules.models import DRAFT, Booking, PlanVersion, StopFan
from schedules.office import office

DAY, WEEK = timedelta(days=1), timedelta(days=7)
COLUMNS = (
    "fan", "fan__tag", "skill", "rules", "overdue_day", "fan__system", "stop", "stop__key",
    "stop__start_minute", "stop__site", "stop__site__owner", "stop__site__time_zone",
    "stop__round__day", "stop__round__technician", "stop__round__version", "stop__booking",
    "stop__booking__day", "stop__booking__technician", "stop__booking__changed_at",
    "stop__booking__withdrawn_at", "stop__booking__withdrawn_reason",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Planned:
    """One fan's work in one week; ``on`` is the site's day, ``since_on`` when it was published.

    ``called_off`` is why its booking was withdrawn and given to nobody else.
    """

    monday: date
    fan: int
    tag: str
    skill: str
    rules: tuple[int, ...]
    overdue_after: date
    system: int
    stop: int
    key: UUID
    site: int
    owner: int
    zone: str
    on: date
    technician: int
    since_on: date
    called_off: str = ""

    @property
    def until(self) -> date:
        """The last day on which it counts as done: its week's, or its own if moved beyond."""
        return max(self.monday + 6 * DAY, self.on)


class _InForce(NamedTuple):
    """A version and when the next one took its place; ``until`` None for the last."""

    monday: date
    since: datetime
    since_on: date
    until: datetime | None


def read_planned(first: date, last: date, narrowed: Q | None = None) -> list[Planned]:
    """What the weeks that begin between two Mondays promised, in order of day; four queries.

    ``narrowed`` is asked of ``StopFan`` rows.
    """
    zone = office().zone
    versions = _versions(first, last, zone)
    if not versions:
        return []
    spans = (_of_days(pk, each, zone) for pk, each in versions.items())
    rows = StopFan.objects.filter(reduce(or_, spans))
    if narrowed is not None:
        rows = rows.filter(narrowed)
    rows = rows.annotate(overdue_day=KeyTextTransform("overdue_after_day", "rule_args")).order_by()
    kept = list(_in_force(rows.values_list(*COLUMNS), versions, zone))
    return _once_a_week(_followed(kept))


def _versions(first: date, last: date, zone: ZoneInfo) -> Mapping[int, _InForce]:
    rows = PlanVersion.objects.filter(number__gt=DRAFT, plan__monday__range=(first, last))
    by_plan: dict[date, list[tuple[int, datetime]]] = defaultdict(list)
    told = rows.order_by("plan__monday", "number")
    for monday, pk, at in told.values_list("plan__monday", "pk", "published_at"):
        by_plan[monday].append((pk, at))  # type: ignore[arg-type]  # published ones have it
    return {
        pk: _InForce(monday, at, at.astimezone(zone).date(), following[1] if following else None)
        for monday, told in by_plan.items()
        for (pk, at), following in zip(told, [*told[1:], None], strict=True)
    }


def _of_days(pk: int, version: _InForce, zone: ZoneInfo) -> Q:
    """Rows of a version on days on which it may have been in force."""
    until = version.until.astimezone(zone).date() if version.until else version.monday + 6 * DAY
    days = (version.since_on, until)
    return Q(stop__round__version=pk, stop__round__day__range=days)


class _Row(NamedTuple):
    """A promise, when it was to begin, and the booking whose place somebody else's may take."""

    planned: Planned
    begins: datetime
    withdrawn_at: datetime | None


def _in_force(
    rows: Iterable[tuple[Any, ...]], versions: Mapping[int, _InForce], zone: ZoneInfo
) -> Iterator[_Row]:
    begins: dict[tuple[date, int], datetime] = {}
    for (fan, tag, skill, rules, overdue_day, system, stop, key, minute, site, owner, site_zone,
         day, person, pk, booking, booked_on, booked, changed_at, withdrawn_at, why
         ) in rows:  # fmt: skip
        version, at = versions[pk], (day, minute)
        if at not in begins:
            begins[at] = datetime.combine(day, time(), zone) + timedelta(minutes=minute)
        start = begins[at]
        if version.since >= start or (version.until and version.until < start):
            continue
        over = date.fromordinal(int(overdue_day)) if overdue_day else date.max
        planned = Planned(
            version.monday, fan, tag, skill, tuple(rules), over, system, stop, key, site, owner,
            site_zone, day, person, version.since_on,
        )  # fmt: skip
        if withdrawn_at:
            planned = replace(planned, called_off=why)
        elif booking and changed_at <= start:
            planned = replace(planned, on=booked_on, technician=booked)
        yield _Row(planned, start, withdrawn_at)


def _followed(rows: Sequence[_Row]) -> list[Planned]:
    """Those handed to somebody else before they were to begin go to that booking; one query.

    The new booking was made at the very moment at which the old one was withdrawn.
    """
    handed = {row.withdrawn_at for row in rows if row.withdrawn_at}
    if not handed:
        return [row.planned for row in rows]
    found = Booking.objects.standing().filter(booked_at__in=handed)
    new = {
        (site, at): (day, person)
        for site, at, day, person in found.order_by().values_list(
            "site", "booked_at", "day", "technician"
        )
    }
    return [_given_to(row, new) for row in rows]


def _given_to(row: _Row, new: Mapping[tuple[int, datetime], tuple[date, int]]) -> Planned:
    planned = row.planned
    following = new.get((planned.site, row.withdrawn_at)) if row.withdrawn_at else None
    if following is None or row.withdrawn_at is None or row.withdrawn_at > row.begins:
        return planned
    return replace(planned, on=following[0], technician=following[1], called_off="")


def _once_a_week(planned: Iterable[Planned]) -> list[Planned]:
    found: dict[tuple[date, int, str], Planned] = {}
    for each in sorted(planned, key=lambda each: (each.on, each.stop, each.fan, each.skill)):
        found.setdefault((each.monday, each.fan, each.skill), each)
    return list(found.values())
