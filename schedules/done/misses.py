"""Fans that somebody came for in vain, how often in a row, and roofs onto which there is no way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby, takewhile
from operator import attrgetter
from typing import Any, NamedTuple

from django.db.models import Max, Q, QuerySet

from fleet.models import Fan, Site
from schedules.done.figures import read_done
from schedules.done.judging import NOT_DONE
from schedules.done.parameters import DEFAULT_DONE, DoneParams
from schedules.done.planned import WEEK
from schedules.done.seen import Narrowed, Word
from schedules.models import StopFan, StopReason
from visits.models import Check, NotReached
from visits.models.visits import superseded

NO_ACCESS = "no_access"


class Miss(NamedTuple):
    """A day on which a fan was to be looked at in vain; ``reason`` empty where nobody said why.

    ``told_at`` is when the record heard of it, None for one without a word.
    """

    on: date
    reason: str
    note: str
    told_at: datetime | None = None


@dataclass(frozen=True)
class Misses:
    """Of some fans, in order of day: in vain, and looked at."""

    missed: Mapping[int, Sequence[Miss]]
    looked: Mapping[int, Sequence[date]]

    def before(self, fan: int, day: date) -> list[Miss]:
        """Days before this one on which it was missed, since it was last looked at."""
        last = max((on for on in self.looked.get(fan, ()) if on < day), default=date.min)
        return [miss for miss in self.missed.get(fan, ()) if last < miss.on < day]


def misses_of(fans: QuerySet[Any, Any], until: date, now: datetime, weeks: int) -> Misses:
    """Misses of these fans, a subquery of ids, before a day: by words and by broken promises.

    Promises of so many weeks back are looked at; the number of queries does not grow.
    """
    first = until - WEEK * weeks
    words = _words(Q(fan__in=fans), Q(stop__fans__fan__in=fans), first)
    found = {fan: {miss.on: miss for miss in told} for fan, told in words.items()}
    monday = until - timedelta(days=until.weekday())
    for each in read_done(monday - WEEK * weeks, monday, now, Narrowed(fans=fans)).judged:
        if each.outcome in NOT_DONE:
            told = each.word or Word(each.planned.on, "", "")
            miss = Miss(told.on, told.reason, told.note)
            found.setdefault(each.planned.fan, {}).setdefault(miss.on, miss)
    ordered = {fan: [told[on] for on in sorted(told)] for fan, told in found.items()}
    looked: dict[int, list[date]] = defaultdict(list)
    checks = _looks().filter(fan__in=fans, visit__local_on__gte=first)
    for fan, on in checks.values_list("fan", "visit__local_on"):
        looked[fan].append(on)
    return Misses(ordered, looked)


def _looks() -> QuerySet[Check]:
    return Check.objects.filter(~superseded("visit"), stage="as_found").order_by()


def _words(reached: Q, stopped: Q, first: date) -> Mapping[int, list[Miss]]:
    """Words said of whole fans here from a day on, by fan; two queries."""
    found: dict[int, dict[date, Miss]] = defaultdict(dict)
    given = StopReason.objects.filter(stopped, on__gte=first).order_by("given_at", "pk")
    for fan, on, reason, note, at in given.values_list(
        "stop__fans__fan", "on", "reason", "note", "given_at"
    ):
        found[fan][on] = Miss(on, reason, note, at)
    # who was there goes before whoever gave a reason
    rows = NotReached.objects.filter(
        ~superseded("visit"), reached, item="", visit__here=True, visit__local_on__gte=first
    )
    for fan, on, reason, note, at in rows.order_by("visit__began_at", "pk").values_list(
        "fan", "visit__local_on", "reason", "note", "visit__received_at"
    ):
        found[fan][on] = Miss(on, reason, note, at)
    return {fan: [told[on] for on in sorted(told)] for fan, told in found.items()}


@dataclass(frozen=True)
class NoWayUp:
    """A roof that nobody could get onto, so often in a row that its owner has to know.

    ``days`` are those of all its fans in the row, ``seen_on`` when one of them was last looked at,
    ``told_at`` when the record heard of what made it so.
    """

    site: Site
    tags: Sequence[str]
    days: Sequence[date]
    seen_on: date | None
    told_at: datetime


def no_way_up(
    now: datetime, asked: Q | None = None, params: DoneParams = DEFAULT_DONE
) -> list[NoWayUp]:
    """Sites with a fan that was not reached for want of access so often in a row.

    A look ends the row, another reason breaks it, a broken promise without a word does neither.
    ``asked`` narrows ``Fan`` rows.  Five queries, one where nobody was kept out.
    """
    first = now.date() - timedelta(days=params.looked_back_days)
    # their ids, not the question: PostgreSQL takes it for most of the fleet, and reads all looks
    fans = list(_fans_without_access(first).filter(asked or Q()))
    words = _words(Q(fan__in=fans), Q(stop__fans__fan__in=fans), first)
    seen = dict(_looks().filter(fan__in=fans).values_list("fan").annotate(Max("visit__local_on")))
    rows = {fan: _row(told, seen.get(fan)) for fan, told in words.items()}
    rows = {fan: row for fan, row in rows.items() if len(row) >= params.no_access_in_a_row}
    named = Fan.objects.filter(pk__in=rows).select_related("site__owner")
    ordered = named.order_by("site__owner", "site__name", "site", "tag")
    return [
        _site(site, list(those), rows, seen, params)
        for site, those in groupby(ordered, key=attrgetter("site"))
    ]


def _fans_without_access(first: date) -> QuerySet[Any, Any]:
    """Ids of fans of which somebody said so at all; not many."""
    rows = NotReached.objects.order_by().filter(
        ~superseded("visit"), reason=NO_ACCESS, item="", visit__here=True,
        visit__local_on__gte=first,
    )  # fmt: skip
    given = StopFan.objects.filter(stop__reasons__reason=NO_ACCESS, stop__reasons__on__gte=first)
    told = Q(pk__in=rows.values("fan")) | Q(pk__in=given.order_by().values("fan"))
    return Fan.objects.filter(told).order_by().values_list("pk", flat=True)


def _row(told: Sequence[Miss], seen_on: date | None) -> list[Miss]:
    """The newest days in a row without access, oldest first."""
    since = [miss for miss in told if seen_on is None or miss.on > seen_on]
    return [*takewhile(lambda miss: miss.reason == NO_ACCESS, reversed(since))][::-1]


def _site(
    site: Site,
    fans: Sequence[Fan],
    rows: Mapping[int, Sequence[Miss]],
    seen: Mapping[int, date],
    params: DoneParams,
) -> NoWayUp:
    days = sorted({miss.on for fan in fans for miss in rows[fan.pk]})
    told = [_nth_heard(rows[fan.pk], params.no_access_in_a_row) for fan in fans]
    looked = [seen[fan.pk] for fan in fans if fan.pk in seen]
    return NoWayUp(site, [fan.tag for fan in fans], days, max(looked, default=None), min(told))


def _nth_heard(row: Sequence[Miss], number: int) -> datetime:
    """When the record had heard of so many of a row."""
    return sorted(miss.told_at for miss in row if miss.told_at)[number - 1]
