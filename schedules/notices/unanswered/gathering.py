"""Owners from whom nothing has come for two weeks in a row, for those who manage."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import partial

from django.db.models import Count, Max, Min

from fleet.models import Person
from schedules.due.beside import next_bookings
from schedules.due.lines import lines_of
from schedules.engine.codes import STOP
from schedules.models import Booking, DueState, Notice, Subscription
from schedules.notices.addressees import is_working_hour
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_person
from schedules.notices.overdue.gathering import states_by_owner
from schedules.notices.unanswered.words import (
    MOST_OWNERS,
    Silent,
    SilentOwners,
    unanswered_words,
)
from schedules.office import office
from schedules.weeks import iso_week
from visits.models import Decision, Event, Visit, VisitAnswer

KIND = Notice.Kind.UNANSWERED
WEEKS = 2
WEEK = timedelta(days=7)
NEVER = datetime.min.replace(tzinfo=UTC)
LOOKED_BACK = 53
"""Weeks back of which letters are counted; our choice."""


def unanswered_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter a week to each manager, of every owner still overdue and silent, worst first.

    Silent: an overdue letter owed in each of the last two ISO weeks, also where its owner had left
    these letters, and since the first of them no visit, no booking and no answer.  Both weeks are
    over then, so that the second letter had its time.
    """
    here = office()
    local = now.astimezone(here.zone)
    if not is_working_hour(local, here.country):
        return
    period = iso_week(local.date())
    managers = Person.objects.filter(role=Person.Role.MANAGER, is_active=True).exclude(email="")
    told = Notice.objects.filter(kind=KIND, period=period).values("person")
    people = list(managers.exclude(pk__in=told).order_by("pk"))
    silent = _silent(local, Clocks(now)) if people else None
    if silent is None:
        return
    for person in people:
        yield to_person(KIND, person, period, partial(unanswered_words, silent, here.zone))


def _silent(local: datetime, clocks: Clocks) -> SilentOwners | None:
    """All of them, the worst first, with lines of the fans that a letter names."""
    weeks = [iso_week(local.date() - WEEK * back) for back in range(1, LOOKED_BACK + 1)]
    silent = _silent_lately(weeks[:WEEKS])
    states = _unbooked(states_by_owner(clocks, silent), clocks) if silent else {}
    letters, heard = _letters(weeks, states), _heard_from(states, _monday(weeks[-1]))
    runs = {
        owner_id: _in_a_row(told, weeks, heard.get(owner_id)) for owner_id, told in letters.items()
    }
    left = _left_on(runs)
    owners = [
        Silent(runs[owner_id], sorted(rows, key=_badness), left.get(owner_id))
        for owner_id, rows in states.items()
    ]
    owners.sort(key=lambda each: (*_badness(each.states[0]), -each.weeks))
    named = [("overdue", state) for each in owners[:MOST_OWNERS] for state in each.named]
    lines = {line.state.fan_id: line for line in lines_of(named, clocks.days)}
    return SilentOwners(owners, lines) if owners else None


def _badness(state: DueState) -> tuple[bool, date]:
    """Stops before others, then what is overdue longest."""
    return state.worst_verdict != STOP, state.overdue_after or date.max


def _unbooked(
    by_owner: Mapping[int, list[DueState]], clocks: Clocks
) -> Mapping[int, list[DueState]]:
    """Owners to whose overdue fans nobody is booked."""
    sites = {state.site_id for states in by_owner.values() for state in states}
    booked = next_bookings(sites, clocks.days)
    return {
        owner_id: states
        for owner_id, states in by_owner.items()
        if not any(state.site_id in booked for state in states)
    }


def _left_on(owner_ids: Collection[int]) -> Mapping[int, date]:
    """By owner, the day (UTC) on which it left the weekly letters."""
    rows = Subscription.objects.left().filter(kind=Notice.Kind.OVERDUE, owner__in=owner_ids)
    return {
        owner_id: left_at.date()
        for owner_id, left_at in rows.values_list("owner", "left_at")
        if owner_id and left_at
    }


def _silent_lately(weeks: Sequence[str]) -> Collection[int]:
    """Owners with a letter in each of these weeks and not a word since the first of them.

    Of most owners no more is asked: they had none, or somebody has been there.
    """
    rows = Notice.objects.order_by().filter(
        kind=Notice.Kind.OVERDUE, period__in=weeks, owed_at__gte=_monday(weeks[-1])
    )
    counted = rows.values("owner").annotate(letters=Count("pk"), first=Min("owed_at"))
    first = dict(counted.filter(letters=len(weeks)).values_list("owner", "first"))
    heard = _heard_from(first, _monday(weeks[-1])) if first else {}
    return [owner_id for owner_id in first if heard.get(owner_id, NEVER) < first[owner_id]]


def _letters(
    weeks: Sequence[str], owner_ids: Collection[int]
) -> Mapping[int, Mapping[str, Notice]]:
    """Overdue letters by owner and week."""
    found: dict[int, dict[str, Notice]] = defaultdict(dict)
    rows = Notice.objects.filter(
        kind=Notice.Kind.OVERDUE, period__in=weeks, owner__in=list(owner_ids)
    )
    for row in rows.defer("text", "html", "calendar"):
        found[row.owner_id or 0][row.period] = row
    return found


def _in_a_row(
    told: Mapping[str, Notice], weeks: Sequence[str], heard: datetime | None
) -> list[Notice]:
    """The letters of the weeks before now without a gap or a word since, oldest first."""
    run: list[Notice] = []
    for week in weeks:
        letter = told.get(week)
        if letter is None or (heard is not None and letter.owed_at <= heard):
            break
        run.append(letter)
    return run[::-1]


def _monday(week: str) -> datetime:
    """The first moment of an ISO week anywhere on earth."""
    return datetime.strptime(f"{week}-1 +0000", "%G-W%V-%u %z") - timedelta(hours=14)


def _heard_from(owner_ids: Collection[int], since: datetime) -> Mapping[int, datetime]:
    """By owner, when last somebody was at its kitchens or booked, or anything was said there."""
    visits = Visit.objects.standing().filter(site__owner__in=owner_ids, here=True)
    answers = Decision.objects.filter(fan__site__owner__in=owner_ids)
    to_visits = VisitAnswer.objects.filter(site__owner__in=owner_ids)
    running = Event.objects.standing().filter(site__owner__in=owner_ids, running_on__isnull=False)
    last: dict[int, datetime] = {}
    booked = Booking.objects.standing().filter(site__owner__in=owner_ids)
    for rows, owner, moment in (
        (visits, "site__owner", "received_at"),
        (booked, "site__owner", "booked_at"),
        (answers, "fan__site__owner", "received_at"),
        (to_visits, "site__owner", "received_at"),
        (running, "site__owner", "received_at"),
    ):
        told = rows.filter(**{f"{moment}__gte": since}).order_by().values_list(owner)
        for owner_id, at in told.annotate(last=Max(moment)):
            last[owner_id] = max(at, last.get(owner_id, at))
    return last
