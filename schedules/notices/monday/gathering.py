"""Who is owed the list of this week; what stands in it is read once for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from functools import partial

from fleet.models import Person
from schedules.models import Notice
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_person
from schedules.notices.monday.week import WeekAhead
from schedules.notices.monday.words import monday_words
from schedules.notices.mornings import is_weekly_morning, readers_without
from schedules.office import office
from schedules.weeks import iso_week

KIND = Notice.Kind.MONDAY
ROLES = (Person.Role.DISPATCHER, Person.Role.MANAGER)
"""Managers where nobody dispatches."""


def monday_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One to each dispatcher on the first working morning of the ISO week."""
    here = office()
    local = now.astimezone(here.zone)
    if not is_weekly_morning(local, here.country):
        return
    period = iso_week(local.date())
    week = WeekAhead(local, Clocks(now))
    for person in readers_without(KIND, period, ROLES):
        yield to_person(KIND, person, period, partial(monday_words, week, person))
