"""Which owners are reminded today of advice that waits for their answer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import partial

from django.db.models import QuerySet

from schedules.models import Notice
from schedules.notices.addressees import addresses_of_owners, working_day_from
from schedules.notices.advice.asking import Asked, advice_to_mail
from schedules.notices.advice.by_link import KIND, link_period
from schedules.notices.advice.words import advice_words
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from visits.models import Decision, Recommendation

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
    reached = reached_today(advice_to_mail(_lately(now), clocks), clocks)
    due = {
        owner_id: rows for owner_id, rows in reached.items() if clocks.at_work(rows[0].row.fan.site)
    }
    addresses = addresses_of_owners(due)
    for asked in due.values():
        site = asked[0].row.fan.site
        words = partial(advice_words, site.owner, asked, now)
        yield to_owner(KIND, site.owner, clocks.today(site).isoformat(), addresses, words)


def reached_today(
    waiting: Mapping[int, Sequence[Asked]], clocks: Clocks
) -> Mapping[int, list[Asked]]:
    """Of advice that waits, by owner, what today's letter asks, written by now or to come.

    The weekly letter leaves it to that one.
    """
    told = _last_told(clocks.now)
    reached: dict[int, list[Asked]] = {}
    for owner_id, rows in waiting.items():
        # what only came with old files is asked in the weekly letter, until the owner puts it off
        ours = [asked for asked in rows if asked.row.visit.here or asked.put_off]
        letters = told.get(owner_id, ())
        if due := [asked for asked in ours if _is_due(asked, letters, clocks)]:
            reached[owner_id] = due
    return reached


def _lately(now: datetime) -> QuerySet[Recommendation]:
    """Advice of visits made lately, and of fans of which something was put off till lately."""
    since = now - LATEST - timedelta(days=2)
    rows = Recommendation.objects.order_by()
    advised = rows.filter(visit__here=True, visit__began_at__gte=since)
    put_off = Decision.objects.filter(not_before__gte=since.date(), answer=Decision.Answer.NOT_NOW)
    again = rows.filter(fan__in=put_off.values("fan"))
    # one or the other of a row would be asked of every row there ever was
    return Recommendation.objects.filter(pk__in=advised.values("pk").union(again.values("pk")))


def _last_told(now: datetime) -> Mapping[int, list[tuple[str, datetime]]]:
    """By owner, the days of its last such letters (or whose link), and when each was written."""
    lately = Notice.objects.filter(kind=KIND, owed_at__gte=now - 2 * LATEST)
    found: dict[int, list[tuple[str, datetime]]] = defaultdict(list)
    for owner_id, day, owed_at in lately.values_list("owner", "period", "owed_at"):
        found[owner_id or 0].append((day, owed_at))
    return found


def _is_due(asked: Asked, letters: Sequence[tuple[str, datetime]], clocks: Clocks) -> bool:
    """Whether a stage is reached that no letter of a day before asked."""
    site = asked.row.fan.site
    today = clocks.today(site)
    reached = stage_day(asked, today, site.country)
    by_link = link_period(asked.row.visit_id)
    told = (at for day, at in letters if day < today.isoformat() or day == by_link)
    last = max(told, default=None)
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
