"""Which slips of fans made safe are told today."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from functools import partial

from schedules.models import DueState, Notice
from schedules.notices.addressees import addresses_of_owners, working_days_after
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from schedules.notices.made_safe.words import Slip, made_safe_words
from visits.models import MadeSafe
from visits.models.visits import superseded

KIND = Notice.Kind.MADE_SAFE
EVERY, OFTEN, THEN_EVERY = 2, 5, 5
"""Working days between letters, how many letters come so often, and those between later ones."""


def made_safe_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """One letter on the day a fan is made safe, in waking hours of any day; then it is chased.

    Chased on working mornings: every second working day, after ten of them every fifth; where a
    day is promised nothing until it has passed, then on the next working morning and on as before.
    It ends as the restart rule does: with the first full walk-through after.
    """
    clocks = Clocks(now)
    if not clocks.anyone_awake:
        return
    slips = [slip for slip in _open_slips(clocks) if _may_be_told(slip, clocks)]
    addresses = addresses_of_owners({slip.owner.pk for slip in slips})
    for slip in slips:
        words = partial(made_safe_words, slip, now)
        yield to_owner(KIND, slip.owner, slip.period, addresses, words)


def _may_be_told(slip: Slip, clocks: Clocks) -> bool:
    site = slip.row.fan.site
    return clocks.at_work(site) if slip.stage else clocks.awake(site)


def _open_slips(clocks: Clocks) -> Iterator[Slip]:
    """The last slip of each fan that is out of service, where it was made by us.

    Asked from the few that are out now, for slips are kept for good.
    """
    away = DueState.objects.filter(made_safe_on__isnull=False).exclude(fan__in=clocks.onboarding())
    since = dict(away.values_list("fan", "made_safe_on"))
    rows = MadeSafe.objects.filter(~superseded("visit"), visit__here=True, fan__in=since)
    ordered = rows.order_by("visit__began_at", "pk").select_related("visit", "fan__site__owner")
    for row in {row.fan_id: row for row in ordered}.values():
        if row.visit.local_on == since[row.fan_id]:
            today = clocks.today(row.fan.site)
            yield Slip(row, stage_at(row, today), today)


def stage_at(row: MadeSafe, today: date) -> int:
    """0 for the letter of its day, then how many times it is to have been chased by today."""
    country = row.fan.site.country
    made_on, promised_on = row.visit.local_on, row.promised_on
    if promised_on is not None and promised_on >= made_on:
        return chased(working_days_after(promised_on, today, country) - 1 + EVERY)
    return chased(working_days_after(made_on, today, country))


def chased(worked: int) -> int:
    """How many letters are to have gone after so many working days."""
    if worked <= OFTEN * EVERY:
        return max(0, worked // EVERY)
    return OFTEN + (worked - OFTEN * EVERY) // THEN_EVERY
