"""Who is owed an overdue letter at an instant, and what stands in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import partial

from schedules.due.lines import lines_of
from schedules.due.lists import overdue
from schedules.models import DueState, Notice
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.advice import advice_to_mail, reached_today
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from schedules.notices.overdue.words import OverdueWeek, overdue_words

KIND = Notice.Kind.OVERDUE


def overdue_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """Letters owed at ``now`` and not written yet this week, owner by owner."""
    clocks = Clocks(now)
    if not clocks.anyone_at_work:
        return
    at_work = {
        owner_id: states
        for owner_id, states in states_by_owner(clocks).items()
        if clocks.at_work(states[0].site)
    }
    written = _written(at_work, now)
    owed = {
        owner_id: states
        for owner_id, states in at_work.items()
        if (owner_id, iso_week(clocks.today(states[0].site))) not in written
    }
    advice, addresses = advice_to_mail(owed, clocks), addresses_of_owners(owed)
    apart = reached_today(advice, clocks)
    for owner_id, states in owed.items():
        lines = lines_of([("overdue", state) for state in states], clocks.days)
        # what the owner refused is no longer asked for
        if not (told := [line for line in lines if not line.is_refused]):
            continue
        asked = [each.row for each in advice.get(owner_id, ())]
        other = {each.row.pk for each in apart.get(owner_id, ())}
        week = OverdueWeek(
            states[0].owner,
            told,
            [row for row in asked if row.pk not in other],
            len(other),
            now,
        )
        period = iso_week(clocks.today(states[0].site))
        yield to_owner(KIND, week.owner, period, addresses, partial(overdue_words, week))


def iso_week(on: date) -> str:
    """``2026-W25``."""
    year, week, _ = on.isocalendar()
    return f"{year}-W{week:02d}"


def states_by_owner(clocks: Clocks) -> Mapping[int, list[DueState]]:
    """Overdue fans of each owner by site."""
    rows = DueState.objects.filter(overdue(clocks.days)).exclude(fan__in=clocks.onboarding())
    ordered = rows.order_by("owner", "site__name", "site", "overdue_after", "fan")
    by_owner: dict[int, list[DueState]] = defaultdict(list)
    for state in ordered.select_related("fan", "site", "owner"):
        by_owner[state.owner_id].append(state)
    return by_owner


def _written(owner_ids: Iterable[int], now: datetime) -> set[tuple[int, str]]:
    """Owner and week of the letters written lately."""
    lately = Notice.objects.filter(
        kind=KIND, owner__in=list(owner_ids), owed_at__gte=now - timedelta(days=9)
    )
    return {(owner_id or 0, period) for owner_id, period in lately.values_list("owner", "period")}
