"""Which owners are reminded today of advice that waits for their answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import partial

from django.db.models import Max

from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners, working_day_from
from schedules.notices.advice.asking import Asked, advice_to_mail
from schedules.notices.advice.words import advice_words
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from visits.models import Decision, Recommendation

KIND = Notice.Kind.ADVICE
STAGES = (3, 10, 21)
STAGES_PUT_OFF = (0, 10, 21)
"""Days after the visit, or after the day to which the owner put it off, on which it is asked."""
LATEST = timedelta(days=35)
"""Older than this only the weekly letter names it; our choice."""


def advice_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter for each owner and day, of all advice that has reached a stage untold.

    A stage that falls on a weekend or holiday waits for the next working morning; one that was
    missed because nothing ran is not sent beside a later one.
    """
    clocks = Clocks(now)
    if not clocks.anyone_at_work:
        return
    told = _last_told(now)
    due = {}
    for owner_id, rows in advice_to_mail(_owners(now), clocks).items():
        # what only came with old files is asked in the weekly letter, until the owner puts it off
        ours = [asked for asked in rows if asked.row.visit.here or asked.put_off]
        reached = [asked for asked in ours if _is_due(asked, told.get(owner_id), clocks)]
        if reached and clocks.at_work(reached[0].row.fan.site):
            due[owner_id] = reached
    addresses = addresses_of_owners(due)
    for asked in due.values():
        site = asked[0].row.fan.site
        words = partial(advice_words, site.owner, asked, now)
        yield to_owner(KIND, site.owner, clocks.today(site).isoformat(), addresses, words)


def _owners(now: datetime) -> set[int]:
    """Owners of whom something was advised, or put off to a day, lately."""
    since = now.date() - LATEST - timedelta(days=1)
    advised = Recommendation.objects.filter(visit__here=True, visit__local_on__gte=since)
    put_off = Decision.objects.filter(not_before__gte=since, answer=Decision.Answer.NOT_NOW)
    names = "fan__site__owner"
    return {*advised.values_list(names, flat=True), *put_off.values_list(names, flat=True)}


def _last_told(now: datetime) -> Mapping[int, datetime]:
    """By owner, when the last such letter was written."""
    lately = Notice.objects.filter(kind=KIND, owed_at__gte=now - 2 * LATEST).order_by()
    return {
        row["owner"]: row["last"] for row in lately.values("owner").annotate(last=Max("owed_at"))
    }


def _is_due(asked: Asked, last: datetime | None, clocks: Clocks) -> bool:
    site = asked.row.fan.site
    reached = stage_day(asked, clocks.today(site), site.country)
    if reached is None or last is None:
        return reached is not None
    visit = asked.row.visit
    came_later = visit.received_at > last and visit.supersedes_id is None
    return last.astimezone(site.zone).date() < reached or came_later


def stage_day(asked: Asked, today: date, country: str) -> date | None:
    """The working day of the last stage reached by ``today``; None too early and too late."""
    if today - asked.since > LATEST:
        return None
    stages = STAGES_PUT_OFF if asked.put_off else STAGES
    days = [working_day_from(asked.since + timedelta(days=count), country) for count in stages]
    return max((day for day in days if day <= today), default=None)
