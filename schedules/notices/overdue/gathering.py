"""Who is owed an overdue letter at an instant, and what stands in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from functools import partial

from django.db.models import Q, QuerySet

from fleet.models import Site
from schedules.done.misses import NoWayUp, no_way_up
from schedules.due.lines import lines_of
from schedules.due.lists import overdue
from schedules.models import DueState, Notice
from schedules.notices.addressees import addresses_of_owners
from schedules.notices.advice import advice_to_mail, reached_today
from schedules.notices.clocks import Clocks
from schedules.notices.letter import Letter, Unreachable, to_owner
from schedules.notices.overdue.words import OverdueWeek, overdue_words
from schedules.weeks import iso_week
from visits.models import Recommendation

KIND = Notice.Kind.OVERDUE


def overdue_letters(now: datetime) -> Iterator[Letter | Unreachable]:
    """Letters owed at ``now`` and not written yet this week, owner by owner."""
    clocks = Clocks(now)
    if not clocks.anyone_at_work:
        return
    weeks = _owed(clocks)
    if not weeks:
        return
    owed = states_by_owner(clocks, weeks)
    given = Recommendation.objects.filter(fan__site__owner__in=list(owed))
    advice, addresses = advice_to_mail(given, clocks), addresses_of_owners(owed)
    apart = reached_today(advice, clocks)
    no_way = _no_way_up(owed, clocks)
    for owner_id, states in owed.items():
        rows = [("overdue", state) for state in states]
        lines = lines_of(rows, clocks.days, for_owner=True)
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
            no_way.get(owner_id, ()),
        )
        words = partial(overdue_words, week)
        yield to_owner(KIND, week.owner, weeks[owner_id], addresses, words)


def _no_way_up(owners: Iterable[int], clocks: Clocks) -> Mapping[int, list[NoWayUp]]:
    """Roofs of these owners onto which nobody could get."""
    found: dict[int, list[NoWayUp]] = defaultdict(list)
    theirs = Q(site__owner__in=list(owners)) & ~Q(pk__in=clocks.onboarding())
    for each in no_way_up(clocks.now, theirs):
        found[each.site.owner_id].append(each)
    return found


def states_by_owner(clocks: Clocks, owner_ids: Iterable[int]) -> Mapping[int, list[DueState]]:
    """Overdue fans of each of these owners by site."""
    rows = _late(clocks).filter(owner__in=list(owner_ids))
    ordered = rows.order_by("owner", "site__name", "site", "overdue_after", "fan")
    by_owner: dict[int, list[DueState]] = defaultdict(list)
    for state in ordered.select_related("fan", "site", "owner"):
        by_owner[state.owner_id].append(state)
    return by_owner


def _late(clocks: Clocks) -> QuerySet[DueState]:
    return DueState.objects.filter(overdue(clocks.days)).exclude(fan__in=clocks.onboarding())


def _owed(clocks: Clocks) -> Mapping[int, str]:
    """By owner with something overdue, the week in which it is at work and has no letter yet.

    Of each only the first site is looked at: in most turns everybody has had theirs.
    """
    kitchens = Site.objects.filter(pk__in=_late(clocks).order_by().values("site"))
    first: dict[int, Site] = {}
    for site in kitchens.order_by("owner", "name", "pk").only("owner", "time_zone", "country"):
        first.setdefault(site.owner_id, site)
    written = _written(clocks.now)
    weeks = {
        owner_id: iso_week(clocks.today(site))
        for owner_id, site in first.items()
        if clocks.at_work(site)
    }
    return {owner_id: week for owner_id, week in weeks.items() if (owner_id, week) not in written}


def _written(now: datetime) -> set[tuple[int, str]]:
    """Owner and week of the letters written lately."""
    lately = Notice.objects.filter(kind=KIND, owed_at__gte=now - timedelta(days=9))
    return {(owner_id or 0, period) for owner_id, period in lately.values_list("owner", "period")}
