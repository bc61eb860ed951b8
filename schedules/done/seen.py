"""What visits and people say of a span of days, by fan: looked at, worked on, not reached, why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db.models import BooleanField, Case, Q, QuerySet, Value, When

from fleet.models import Blocker, Machine
from schedules.due.bought import is_whole_look
from schedules.models import StopReason
from visits.models import Action, Check, MadeSafe, NotReached, SystemInspection
from visits.models.visits import superseded

REGREASED = ["regreased", "bearings"]
Days = Mapping[int, Sequence[date]]


class Look(NamedTuple):
    """A fan looked at; ``whole`` if all was answered that its walk-through requires."""

    on: date
    whole: bool
    by: int | None
    by_name: str


class Sight(NamedTuple):
    """A look for counting what was not planned: where it was and who made it."""

    fan: int
    on: date
    site: int
    owner: int
    by: int | None


class Word(NamedTuple):
    """Why something was not done; ``item`` names the part of a fan, or what the work waits for."""

    on: date
    reason: str
    note: str
    item: str = ""


class Wait(NamedTuple):
    """Something a roof, or one fan on it, waits for, from one day until before another."""

    fan: int | None
    kind: str
    note: str
    since_on: date
    cleared_on: date | None


@dataclass(frozen=True)
class Seen:
    """By fan, but ``inspected`` by system, ``waits`` by site and ``given`` by stop."""

    looks: Mapping[int, Sequence[Look]]
    worked: Days
    regreased: Days
    inspected: Days
    missed: Mapping[int, Sequence[Word]]
    gone: Days
    waits: Mapping[int, Sequence[Wait]]
    given: Mapping[int, Word]
    sights: Sequence[Sight]


@dataclass(frozen=True)
class Narrowed:
    """What is asked about: everything, or the fans of a question, of a site or an owner."""

    site: int | None = None
    owner: int | None = None
    fans: object = None
    """A subquery of fan ids."""

    def of(self, fan: str, site: str) -> Q:
        """The same of rows that name a fan and a site by these columns."""
        asked = Q()
        if self.site is not None:
            asked &= Q(**{site: self.site})
        if self.owner is not None:
            asked &= Q(**{f"{site}__owner": self.owner})
        if self.fans is not None:
            asked &= Q(**{f"{fan}__in": self.fans})
        return asked


def read_seen(first: date, last: date, narrowed: Narrowed) -> Seen:
    """All that is on record of these days; nine queries."""
    here = Q(visit__local_on__range=(first, last)) & narrowed.of("fan", "visit__site")
    standing = ~superseded("visit")
    looks: dict[int, list[Look]] = defaultdict(list)
    sights = []
    checks = Check.objects.filter(here, standing, stage="as_found").annotate(
        whole=Case(When(is_whole_look(), then=Value(True)), default=Value(False),
                   output_field=BooleanField())
    )  # fmt: skip
    for fan, on, whole, by, name, site, owner, counts in checks.order_by().values_list(
        "fan", "visit__local_on", "whole", "visit__technician", "visit__technician_name",
        "visit__site", "visit__site__owner", "visit__here",
    ):  # fmt: skip
        looks[fan].append(Look(on, whole, by, name))
        if counts:
            sights.append(Sight(fan, on, site, owner, by))
    worked, regreased = _acted(Action.objects.filter(here, standing))
    inspected = SystemInspection.objects.filter(
        standing, narrowed.of("system__fans", "visit__site"),
        visit__local_on__range=(first, last), qualified=True,
    )  # fmt: skip
    missed: dict[int, list[Word]] = defaultdict(list)
    rows = NotReached.objects.filter(here, standing).order_by("visit__began_at", "pk")
    for fan, on, reason, note, item in rows.values_list(
        "fan", "visit__local_on", "reason", "note", "item"
    ):
        missed[fan].append(Word(on, reason, note, item))
    safe = MadeSafe.objects.filter(here, standing).order_by()
    new = Machine.objects.filter(narrowed.of("fan", "fan__site"), installed_on__range=(first, last))
    return Seen(
        looks=looks,
        worked=worked,
        regreased=regreased,
        inspected=_days(inspected.order_by().values_list("system", "visit__local_on")),
        missed=missed,
        gone=_days([
            *safe.values_list("fan", "visit__local_on"),
            *new.order_by().values_list("fan", "installed_on"),
        ]),
        waits=_waits(first, last, narrowed),
        given=_given(first, last, narrowed),
        sights=sights,
    )  # fmt: skip


def _days(rows: Iterable[tuple[int, date | None]]) -> Days:
    found: dict[int, list[date]] = defaultdict(list)
    for key, on in rows:
        if on is not None:
            found[key].append(on)
    return found


def _acted(rows: QuerySet[Action]) -> tuple[Days, Days]:
    told = list(rows.order_by().values_list("fan", "visit__local_on", "kind", "item"))
    greased = [(fan, on) for fan, on, *what in told if what == REGREASED]
    return _days([(fan, on) for fan, on, *_ in told]), _days(greased)


def _waits(first: date, last: date, narrowed: Narrowed) -> Mapping[int, Sequence[Wait]]:
    found: dict[int, list[Wait]] = defaultdict(list)
    of = Narrowed(narrowed.site, narrowed.owner).of("fan", "site")
    rows = Blocker.objects.standing(first, last).filter(of)
    for site, fan, kind, note, since_on, cleared_on in rows.values_list(
        "site", "fan", "kind", "note", "since_on", "cleared_on"
    ):
        found[site].append(Wait(fan, kind, note, since_on, cleared_on))
    return found


def _given(first: date, last: date, narrowed: Narrowed) -> Mapping[int, Word]:
    """The last word on each stop."""
    of = Narrowed(narrowed.site, narrowed.owner).of("", "stop__site")
    rows = StopReason.objects.filter(of, on__range=(first, last)).order_by("given_at", "pk")
    told = rows.values_list("stop", "on", "reason", "note")
    return {stop: Word(on, reason, note) for stop, on, reason, note in told}
