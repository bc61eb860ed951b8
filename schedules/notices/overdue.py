"""The overdue letter: once a week each owner is told which fans are overdue and what is needed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

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
    def week(self) -> str:
        """``2026-W25``."""
        year, week, _ = self.on.isocalendar()
        return f"{year}-W{week:02d}"

    @property
    def addressee(self) -> str:
        """Whose letter it is; its address may change within the week."""
        return f"owner-{self.owner.pk}"


@dataclass(frozen=True)
class Unreachable:
    """An owner who is owed a letter and has no address."""

    owner: Owner


def overdue_letters(now: datetime) -> Iterator[OverdueLetter | Unreachable]:
    """Letters owed at ``now`` and not written yet this week, owner by owner."""
    zones = set(Site.objects.order_by().values_list("time_zone", flat=True).distinct())
    days = days_at(now, zones)
    by_owner = _states_by_owner(days)
    written = _written(by_owner, now)
    advice = unanswered_advice(by_owner)
    addresses = _addresses(by_owner)
    for owner_id, states in by_owner.items():
        local = now.astimezone(states[0].site.zone)
        owner = states[0].owner
        letter = OverdueLetter(owner, addresses.get(owner_id, ""), local.date(), (), ())
        if not _is_working_hour(local) or (letter.addressee, letter.week) in written:
            continue
        if not letter.address:
            yield Unreachable(owner)
            continue
        lines = lines_of([("overdue", state) for state in states], days)
        yield OverdueLetter(owner, letter.address, letter.on, lines, advice.get(owner_id, ()))


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
