"""Everything on record of one fan, in a fixed number of queries however long its past is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import Model, Q

from fleet.models import Fan, Feed, Machine
from schedules.due.bought import agreements_of, spending_limit
from schedules.due.lines import DueLine, lines_of, section_of
from schedules.due.local_days import days_at
from schedules.models import DueState
from visits.models import (
    Action,
    Check,
    Closing,
    Decision,
    Event,
    Finding,
    MadeSafe,
    NotReached,
    Photo,
    PlateReading,
    Recommendation,
    RunningTold,
    SystemInspection,
    Visit,
)

ByVisit = dict[UUID, list[Any]]


@dataclass(frozen=True)
class FanFile:
    """What is on record of a fan; ``parts`` of visits by model, then by visit.

    ``machines`` and ``feeds`` are newest first, ``events`` those that touch the fan, ``decisions``
    and ``closings`` those given between visits, ``photos`` by visit those of the fan and of no fan.
    """

    fan: Fan
    today: date
    line: DueLine | None
    machines: Sequence[Machine]
    feeds: Sequence[Feed]
    visits: dict[UUID, Visit]
    events: Sequence[Event]
    tipped_at: frozenset[UUID]
    decisions: Sequence[Decision]
    closings: Sequence[Closing]
    spending_limit: Decimal | None = None
    told: Sequence[RunningTold] = ()
    parts: dict[type[Model], ByVisit] = field(default_factory=dict)
    photos: ByVisit = field(default_factory=dict)

    def part(self, model: type[Model], visit: Visit) -> list[Any]:
        """Rows of one kind that belong to the visit."""
        return self.parts[model].get(visit.pk, [])

    @property
    def machine(self) -> Machine | None:
        """The machine in place today."""
        return next((each for each in self.machines if each.removed_on is None), None)

    @property
    def has_failed(self) -> bool:
        """Whether a loss of function is on record, of whatever visit."""
        return any(row.loss_of_function for rows in self.parts[Finding].values() for row in rows)

    @cached_property
    def standing_checks(self) -> list[Check]:
        """Checks of visits that no correction supersedes, oldest first."""
        checks = [
            check
            for visit_id, rows in self.parts[Check].items()
            if not is_superseded(self.visits[visit_id])
            for check in rows
        ]
        return sorted(checks, key=lambda check: (self.day_of(check), check.began_at, check.pk))

    @cached_property
    def known_lasting(self) -> dict[int, set[str]]:
        """Subjects of each standing check whose fault was marked lasting there or earlier."""
        marked: dict[tuple[int | None, str], str] = {}
        known = {}
        for check in self.standing_checks:
            fresh: dict[tuple[int | None, str], str] = {
                (check.machine_id, name): check.judged.get(name, "") for name in check.lasting
            }
            marked |= fresh
            known[check.pk] = {
                name
                for name, verdict in check.judged.items()
                if marked.get((check.machine_id, name)) == verdict
            }
            for name in check.judged.keys() - known[check.pk]:
                marked.pop((check.machine_id, name), None)
        return known

    def day_of(self, check: Check) -> int:
        """The local day a check belongs to."""
        return self.visits[check.visit_id].local_on.toordinal()

    @cached_property
    def standing_actions(self) -> list[tuple[date, Action]]:
        """Work done, with its day."""
        return [
            (self.visits[visit_id].local_on, action)
            for visit_id, rows in self.parts[Action].items()
            if not is_superseded(self.visits[visit_id])
            for action in rows
        ]


def is_superseded(entry: Visit | Event) -> bool:
    """Whether a correction has taken its place; read from the row joined to it."""
    return getattr(entry, "superseded_by", None) is not None


def read_fan_file(fan: Fan, now: datetime) -> FanFile:
    """All that is on record of ``fan``, whose site, system, machines and feeds come with it."""
    parts = {
        Check: _by_visit(Check.objects.filter(fan=fan).order_by("began_at", "pk")),
        Finding: _by_visit(_with_closings(fan)),
        Action: _by_visit(Action.objects.filter(fan=fan)),
        Recommendation: _by_visit(_with_decisions(fan)),
        NotReached: _by_visit(NotReached.objects.filter(fan=fan)),
        MadeSafe: _by_visit(MadeSafe.objects.filter(fan=fan)),
        PlateReading: _by_visit(PlateReading.objects.filter(fan=fan)),
        SystemInspection: _by_visit(SystemInspection.objects.filter(system=fan.system_id)),
        Decision: _by_visit(Decision.objects.filter(fan=fan, visit__isnull=False)),
    }
    tipped = Event.tipped_fans.through.objects.filter(fan=fan)
    visits = _visits(parts)
    today = now.astimezone(fan.site.zone).date()
    owner_id = fan.site.owner_id
    return FanFile(
        fan=fan,
        today=today,
        spending_limit=spending_limit(agreements_of([owner_id]).get(owner_id, ()), today),
        line=_due_line(fan, now),
        machines=list(fan.machines.all())[::-1],
        feeds=list(fan.feeds.all())[::-1],
        visits=visits,
        events=list(
            Event.objects.about(fan).select_related(
                "system", "recorded_by", "superseded_by", "supersedes"
            )
        ),
        tipped_at=frozenset(tipped.values_list("event_id", flat=True)),
        decisions=_between_visits(fan),
        closings=_closings(fan),
        told=list(RunningTold.objects.filter(fan=fan)),
        parts=parts,
        photos=_by_visit(_photos(fan, visits)),
    )


def _photos(fan: Fan, visits: Iterable[UUID]) -> Any:
    rows = Photo.objects.filter(Q(fan=fan) | Q(fan=None), visit__in=list(visits))
    return rows.select_related("withdrawn_by")


def _between_visits(fan: Fan) -> list[Decision]:
    rows = Decision.objects.filter(fan=fan, visit=None)
    return list(rows.prefetch_related("recommendation__decisions"))


def _closings(fan: Fan) -> list[Closing]:
    rows = Closing.objects.filter(finding__fan=fan)
    return list(rows.select_related("finding", "closed_by"))


def _by_visit(rows: Iterable[Any]) -> ByVisit:
    found: ByVisit = defaultdict(list)
    for row in rows:
        found[row.visit_id].append(row)
    return found


def _with_closings(fan: Fan) -> Any:
    return Finding.objects.filter(fan=fan).prefetch_related("closings")


def _with_decisions(fan: Fan) -> Any:
    return Recommendation.objects.filter(fan=fan).prefetch_related("decisions")


def _visits(parts: dict[type[Model], ByVisit]) -> dict[UUID, Visit]:
    """Every visit one of the parts belongs to, with what corrects it or is corrected by it."""
    wanted = {visit_id for rows in parts.values() for visit_id in rows}
    visits = Visit.objects.filter(pk__in=wanted).select_related(
        "technician", "recorded_by", "superseded_by", "superseded_by__recorded_by", "supersedes"
    )
    return {visit.pk: visit for visit in visits}


def _due_line(fan: Fan, now: datetime) -> DueLine | None:
    """The fan's line of the due list; None before its first reckoning."""
    state = DueState.objects.filter(fan=fan).select_related("fan", "site", "owner").first()
    if state is None:
        return None
    days = days_at(now, [fan.site.time_zone])
    return lines_of([(section_of(state, days), state)], days, whole=True)[0]
