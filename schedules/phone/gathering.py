"""All that a phone takes along of some sites, in a number of statements that does not grow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Q, Window
from django.db.models.functions import RowNumber

from fleet.models import Blocker, Fan, Person, Site
from schedules.causes.gathering import supposed_losses
from schedules.causes.services import (
    Explained,
    confirmed_causes,
    explain_losses,
    open_losses,
)
from schedules.due.lines import DueLine, lines_of, section_of
from schedules.due.local_days import days_at
from schedules.due.truth import Truth, read_truth
from schedules.due.waiting import AtStake, at_stake
from schedules.engine import walk_through
from schedules.engine.causes import default_table
from schedules.engine.record import RuleDate
from schedules.models import DueState, PlannedRound, WeekPlan
from schedules.office import office
from schedules.phone.own import own_payloads
from schedules.round_sheet.fan_file import FanFile
from schedules.round_sheet.records import Record, records_of
from schedules.rounds.drafts import latest_published
from schedules.rounds.storing import rounds_of
from visits.models import Photo, Visit
from visits.services.rewritten import Payload

SHOWN_VISITS = 3
SHOWN_PHOTOS = 3
SOON_DAYS = 7
"""What falls due so soon after the day is asked for on it where nothing is planned; our choice."""


@dataclass(frozen=True)
class FanPack:
    """One fan as it is taken along; ``own`` are its reader's own visits as payloads."""

    file: FanFile
    line: DueLine | None
    stake: AtStake | None
    failed: Sequence[Explained]
    photos: Sequence[Photo]
    visits: Mapping[UUID, Visit]
    own: Mapping[UUID, Payload]

    @property
    def record(self) -> Record:
        return self.file.record


@dataclass(frozen=True)
class PackFile:
    """What one person takes along on one day; ``round`` is theirs, if there is one."""

    person: Person
    now: datetime
    day: date
    round: PlannedRound | None
    sites: Sequence[Site]
    fans: Sequence[FanPack]
    blockers: Mapping[int, Sequence[Blocker]] = field(default_factory=dict)


def own_round(person: Person, day: date | None, now: datetime) -> PlannedRound | None:
    """A technician's round of that day in the version in force; None where there is none.

    Without a day it is today's, by the office's clock.
    """
    day = day or now.astimezone(office().zone).date()
    monday = date.fromordinal(day.toordinal() - day.weekday())
    plan = WeekPlan.objects.filter(monday=monday).first()
    version = latest_published(plan) if plan else None
    if version is None:
        return None
    return next(iter(rounds_of(version, technician=person.pk, day=day)), None)


def read_round(row: PlannedRound, person: Person, now: datetime) -> PackFile:
    """A round's sites with all their fans, so that any label on a roof opens one."""
    return _read({stop.site_id for stop in row.stops.all()}, person, row.day, now, row)


def read_site(site: Site, person: Person, now: datetime) -> PackFile:
    """One site with all its fans, as it stands today."""
    return _read({site.pk}, person, now.astimezone(site.zone).date(), now, None)


def _read(
    site_ids: Collection[int], person: Person, day: date, now: datetime, row: PlannedRound | None
) -> PackFile:
    sites = list(
        Site.objects.filter(pk__in=site_ids)
        .select_related("owner")
        .prefetch_related("contacts")
        .order_by("pk")
    )
    fans = list(
        Fan.objects.filter(site__in=site_ids)
        .select_related("site__owner", "system")
        .prefetch_related("machines", "feeds")
        .order_by("pk")
    )
    days = {fan.pk: day for fan in fans}
    truth = read_truth(sorted(days))
    records = records_of(truth, days)
    lines = _lines(fans, now)
    stakes = at_stake(list(lines.values()))
    failed = _failed(truth, day, person)
    visits = _visits(records.values())
    own = own_payloads(visits.values(), person)
    photos = _photos(days)
    planned = _planned(row)
    packs = [
        FanPack(
            file=_file(fan, records[fan.pk], planned.get(fan.pk, ()), person),
            line=lines.get(fan.pk),
            stake=stakes.get(fan.pk),
            failed=failed.get(fan.pk, ()),
            photos=photos.get(fan.pk, ()),
            visits=visits,
            own=own,
        )
        for fan in fans
    ]
    return PackFile(person, now, day, row, sites, packs, _blockers(site_ids, day))


def _file(fan: Fan, record: Record, planned: Sequence[Any], person: Person) -> FanFile:
    """What brings somebody here: the work planned, else what is due by then and the usual walk."""
    asked = () if planned else _due_soon(record)
    return FanFile(fan, planned, record, person.qualified_energised_work, asked)


def _due_soon(record: Record) -> list[RuleDate]:
    last = record.day.toordinal() + SOON_DAYS
    soon = [told for told in record.dates.values() if told.due_day <= last]
    walk = record.dates.get(walk_through.number)
    return soon if walk is None or walk in soon else [walk, *soon]


def _planned(row: PlannedRound | None) -> Mapping[int, Sequence[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for stop in row.stops.all() if row else ():
        for work in stop.fans.all():
            found[work.fan_id].append(work)
    return found


def _lines(fans: Sequence[Fan], now: datetime) -> Mapping[int, DueLine]:
    """The fans' lines of the due list, by fan; those not reckoned yet have none."""
    rows = DueState.objects.filter(fan__in=[fan.pk for fan in fans])
    states = list(rows.select_related("fan", "site__owner", "owner"))
    days = days_at(now, {state.site.time_zone for state in states})
    told = lines_of([(section_of(state, days), state) for state in states], days)
    return {line.state.fan_id: line for line in told}


def _failed(truth: Truth, today: date, person: Person) -> Mapping[int, Sequence[Explained]]:
    """Losses without a cause, and what others would be: somebody may find them up there."""
    losses = open_losses(truth, today)
    items = sorted(default_table().candidates)
    for fan in truth.fans:
        lost = {loss.item for loss in losses if loss.fan_id == fan["id"]}
        losses += supposed_losses(truth, fan, [item for item in items if item not in lost], today)
    confirmed = confirmed_causes(items)
    found: dict[int, list[Explained]] = defaultdict(list)
    for each in explain_losses(losses, confirmed, qualified=person.qualified_energised_work):
        if each.why.causes:
            found[each.loss.fan_id].append(each)
    return found


def last_visits(record: Record) -> list[UUID]:
    """The newest visits that touched a fan, newest first."""
    found: dict[UUID, tuple[Any, ...]] = {}
    for row in (*record.checks, *record.notes, *record.actions):
        found[row["visit_id"]] = (row["visit__began_at"], str(row["visit_id"]))
    return sorted(found, key=found.__getitem__, reverse=True)[:SHOWN_VISITS]


def _visits(records: Iterable[Record]) -> Mapping[UUID, Visit]:
    wanted = {visit_id for record in records for visit_id in last_visits(record)}
    return Visit.objects.select_related("technician", "site").in_bulk(wanted)


def _photos(fans: Collection[int]) -> Mapping[int, Sequence[Photo]]:
    """The newest photos of each fan, newest first."""
    newest = Window(RowNumber(), partition_by="fan", order_by=["-received_at", "-id"])
    rows = Photo.objects.standing().filter(fan__in=fans).annotate(place=newest)
    found: dict[int, list[Photo]] = defaultdict(list)
    for photo in rows.filter(place__lte=SHOWN_PHOTOS).order_by("fan", "place"):
        found[photo.fan_id or 0].append(photo)
    return found


def _blockers(site_ids: Collection[int], day: date) -> Mapping[int, Sequence[Blocker]]:
    """What holds at these sites on that day."""
    found: dict[int, list[Blocker]] = defaultdict(list)
    standing = Q(cleared_on=None) | Q(cleared_on__gte=day)
    rows = Blocker.objects.filter(standing, site__in=site_ids, since_on__lte=day)
    for blocker in rows.select_related("fan").order_by("pk"):
        found[blocker.site_id].append(blocker)
    return found
