"""Who is owed an overdue letter at an instant, and what stands in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from fleet.models import Site
from schedules.due.lines import lines_of
from schedules.due.lists import overdue
from schedules.due.local_days import LocalDays, days_at
from schedules.models import DueState, Notice
from schedules.notices.addressees import addresses_of_owners, is_working_hour
from schedules.notices.advice import unanswered_advice
from schedules.notices.letter import Letter, Unreachable
from schedules.notices.overdue.words import OverdueWeek, overdue_words
from visits.models import Check

KIND = Notice.Kind.OVERDUE


def overdue_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """Letters owed at ``now`` and not written yet this week, owner by owner."""
    names = Site.objects.order_by().values_list("time_zone", flat=True).distinct()
    local = {name: now.astimezone(ZoneInfo(name)) for name in names}
    if not any(map(is_working_hour, local.values())):
        return
    days = days_at(now, local)
    at_work = {
        owner_id: states
        for owner_id, states in _states_by_owner(days).items()
        if is_working_hour(local[states[0].site.time_zone])
    }
    written = _written(at_work, now)
    owed = {
        owner_id: states
        for owner_id, states in at_work.items()
        if _key(owner_id, days.of(states[0].site.time_zone)) not in written
    }
    advice, addresses = unanswered_advice(owed), addresses_of_owners(owed)
    for owner_id, states in owed.items():
        owner, on = states[0].owner, days.of(states[0].site.time_zone)
        if owner_id not in addresses:
            yield Unreachable(owner.name)
            continue
        week = OverdueWeek(
            owner,
            lines_of([("overdue", state) for state in states], days),
            advice.get(owner_id, ()),
        )
        yield Letter(
            KIND,
            *_key(owner_id, on),
            addresses[owner_id],
            partial(overdue_words, week),
            owner=owner,
        )


def _key(owner_id: int, on: date) -> tuple[str, str]:
    """Addressee and ISO week, ``owner-12`` and ``2026-W25``: its address may change meanwhile."""
    year, week, _ = on.isocalendar()
    return f"owner-{owner_id}", f"{year}-W{week:02d}"


def _states_by_owner(days: LocalDays) -> Mapping[int, list[DueState]]:
    """Overdue fans of each owner by site; nobody is mailed about one that is still onboarding."""
    rows = DueState.objects.filter(overdue(days)).select_related("fan", "site", "owner")
    states = list(rows.order_by("owner", "site__name", "site", "overdue_after", "fan"))
    waiting = {state.fan_id for state in states if _waits(state, days)}
    here = Check.objects.filter(fan__in=waiting, visit__here=True, visit__superseded_by=None)
    waiting -= set(here.values_list("fan", flat=True))
    by_owner: dict[int, list[DueState]] = defaultdict(list)
    for state in states:
        if state.fan_id not in waiting:
            by_owner[state.owner_id].append(state)
    return by_owner


def _waits(state: DueState, days: LocalDays) -> bool:
    """Whether the day given for the fan's first visit is still to come."""
    given = state.fan.onboarding_on
    return given is not None and given > days.of(state.site.time_zone)


def _written(owner_ids: Iterable[int], now: datetime) -> set[tuple[str, str]]:
    """Addressee and week of the letters written lately."""
    lately = Notice.objects.filter(
        kind=KIND, owner__in=list(owner_ids), owed_at__gte=now - timedelta(days=9)
    )
    return set(lately.values_list("addressee", "period"))
