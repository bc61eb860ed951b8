"""The overdue letter: once a week each owner is told which fans are overdue and what is needed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fleet.models import Owner, Person, Site
from schedules.due.lines import DueLine, lines_of
from schedules.due.lists import overdue
from schedules.due.local_days import LocalDays, days_at
from schedules.models import DueState, Notice
from schedules.notices.advice import unanswered_advice
from visits.models import Check, Recommendation

KIND = Notice.Kind.OVERDUE
FIRST_HOUR, LAST_HOUR = 8, 17
"""Letters are written between these hours, where the owner's first overdue kitchen stands."""
LAST_WORKDAY = 5


@dataclass(frozen=True)
class OverdueLetter:
    """What one owner is told in one ISO week: lines of overdue fans by site, advice unanswered."""

    owner: Owner
    address: str
    on: date
    lines: Sequence[DueLine]
    advice: Sequence[Recommendation]

    @property
    def key(self) -> tuple[str, str]:
        """Whose letter of which week it is."""
        return _key(self.owner.pk, self.on)


@dataclass(frozen=True)
class Unreachable:
    """An owner who is owed a letter and has no address."""

    owner: Owner


def overdue_letters(now: datetime) -> Iterator[OverdueLetter | Unreachable]:
    """Letters owed at ``now`` and not written yet this week, owner by owner."""
    names = Site.objects.order_by().values_list("time_zone", flat=True).distinct()
    local = {name: now.astimezone(ZoneInfo(name)) for name in names}
    if not any(map(_is_working_hour, local.values())):
        return
    days = days_at(now, local)
    at_work = {
        owner_id: states
        for owner_id, states in _states_by_owner(days).items()
        if _is_working_hour(local[states[0].site.time_zone])
    }
    written = _written(at_work, now)
    owed = {
        owner_id: states
        for owner_id, states in at_work.items()
        if _key(owner_id, days.of(states[0].site.time_zone)) not in written
    }
    advice, addresses = unanswered_advice(owed), _addresses(owed)
    for owner_id, states in owed.items():
        owner, on = states[0].owner, days.of(states[0].site.time_zone)
        if owner_id not in addresses:
            yield Unreachable(owner)
            continue
        lines = lines_of([("overdue", state) for state in states], days)
        yield OverdueLetter(owner, addresses[owner_id], on, lines, advice.get(owner_id, ()))


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


def _addresses(owner_ids: Iterable[int]) -> Mapping[int, str]:
    """The owner's own address, else that of the first of its people who has one."""
    ids = list(owner_ids)
    people = Person.objects.filter(owner__in=ids, is_active=True).exclude(email="")
    found = dict(people.order_by("-pk").values_list("owner", "email"))
    owners = Owner.objects.filter(pk__in=ids).exclude(email="")
    return {**found, **dict(owners.values_list("pk", "email"))}


def _is_working_hour(local: datetime) -> bool:
    return local.isoweekday() <= LAST_WORKDAY and FIRST_HOUR <= local.hour < LAST_HOUR
