"""Owners from whom nothing has come for two weeks in a row, for those who manage."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from functools import partial

from fleet.models import Person
from schedules.due.lines import lines_of
from schedules.models import Notice
from schedules.notices.addressees import is_working_hour
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_person
from schedules.notices.office import office
from schedules.notices.overdue.gathering import iso_week, states_by_owner
from schedules.notices.unanswered.words import Silent, unanswered_words
from visits.models import Decision, Event, Visit

KIND = Notice.Kind.UNANSWERED
WEEKS = 2
WEEK = timedelta(days=7)
LOOKED_BACK = 26
"""Weeks back of which letters are counted; our choice."""


def unanswered_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter a week to each manager, naming every owner still overdue and silent.

    Silent: an overdue letter in each of the last two ISO weeks, and since the first of them no
    visit, no booking and no answer.  Both weeks are over then, so that the second letter had its
    time.
    """
    here = office()
    local = now.astimezone(here.zone)
    if not is_working_hour(local, here.country):
        return
    period = iso_week(local.date())
    managers = Person.objects.filter(role=Person.Role.MANAGER, is_active=True).exclude(email="")
    told = Notice.objects.filter(kind=KIND, period=period).values("person")
    people = list(managers.exclude(pk__in=told).order_by("pk"))
    silent = _silent(local, Clocks(now)) if people else []
    if not silent:
        return
    for person in people:
        yield to_person(KIND, person, period, partial(unanswered_words, silent))


def _silent(local: datetime, clocks: Clocks) -> list[Silent]:
    weeks = [iso_week(local.date() - WEEK * back) for back in range(1, LOOKED_BACK)]
    letters = _letters(weeks)
    asked = {
        owner_id: told
        for owner_id, told in letters.items()
        if all(week in told for week in weeks[:WEEKS])
    }
    since = {owner_id: told[weeks[WEEKS - 1]].owed_at for owner_id, told in asked.items()}
    heard = _heard_from(since)
    states = states_by_owner(clocks) if since.keys() - heard else {}
    found = []
    for owner_id in sorted(since.keys() - heard):
        if owner_id in states:
            rows = [("overdue", state) for state in states[owner_id]]
            found.append(Silent(_in_a_row(asked[owner_id], weeks), lines_of(rows, clocks.days)))
    return found


def _letters(weeks: Sequence[str]) -> Mapping[int, Mapping[str, Notice]]:
    """Overdue letters by owner and week."""
    found: dict[int, dict[str, Notice]] = defaultdict(dict)
    rows = Notice.objects.filter(kind=Notice.Kind.OVERDUE, period__in=weeks)
    for row in rows.defer("text", "html", "calendar"):
        found[row.owner_id or 0][row.period] = row
    return found


def _in_a_row(told: Mapping[str, Notice], weeks: Sequence[str]) -> list[Notice]:
    """The letters of the weeks without a gap before now, oldest first."""
    run = []
    for week in weeks:
        if week not in told:
            break
        run.append(told[week])
    return run[::-1]


def _heard_from(since: Mapping[int, datetime]) -> set[int]:
    """Owners at whose kitchens somebody was, or who said anything, after that moment."""
    if not since:
        return set()
    first = min(since.values())
    heard = [
        *Visit.objects.standing()
        .filter(site__owner__in=since, here=True, received_at__gte=first)
        .values_list("site__owner", "received_at"),
        *Decision.objects.filter(fan__site__owner__in=since, received_at__gte=first).values_list(
            "fan__site__owner", "received_at"
        ),
        *Event.objects.standing()
        .filter(running_on__isnull=False, site__owner__in=since, received_at__gte=first)
        .values_list("site__owner", "received_at"),
    ]
    return {owner_id for owner_id, at in heard if at >= since[owner_id]}
