"""Who is owed the summary of last week."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial

from fleet.models import Person
from schedules.models import Notice
from schedules.notices.letter import Letter, Unreachable, to_person
from schedules.notices.mornings import is_weekly_morning, monday_of, readers_without
from schedules.notices.summary.week import WeekPast
from schedules.notices.summary.words import summary_words
from schedules.office import office
from schedules.weeks import iso_week

KIND = Notice.Kind.SUMMARY


def summary_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One to each manager on the first working morning after the ISO week that it tells of."""
    here = office()
    local = now.astimezone(here.zone)
    if not is_weekly_morning(local, here.country):
        return
    week = WeekPast(monday_of(local.date()) - timedelta(days=7), here.zone, now)
    period = iso_week(week.first)
    for person in readers_without(KIND, period, (Person.Role.MANAGER,)):
        yield to_person(KIND, person, period, partial(summary_words, week, person))
