"""Visits an agreement bought against walk-throughs made: which due days need the owner's yes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import reduce
from operator import and_, or_

from dateutil.relativedelta import relativedelta
from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Agreement
from fleet.quantities import (
    ALWAYS_ANSWERED_BY,
    MEASURED,
    WALK_THROUGH_BELT,
    WALK_THROUGH_DIRECT,
)
from schedules.due.local_days import LocalDays
from schedules.models import DueState
from visits.models import Check, Visit, VisitAnswer

_MEASURED = frozenset(quantity.name for quantity in MEASURED)


@dataclass(frozen=True)
class Beyond:
    """All visits bought for the agreement year that began on ``year_on`` are made.

    ``answer`` is the owner's last yes or no to the next one, None while that is awaited.
    """

    visits: int
    made: int
    year_on: date
    answer: VisitAnswer | None = None

    @property
    def number(self) -> int:
        """Which visit of the year the next one is."""
        return self.made + 1

    @property
    def is_agreed(self) -> bool:
        """Whether the owner said yes to the next visit: we owe it then."""
        return self.answer is not None and self.answer.answer == VisitAnswer.Answer.GO_AHEAD

    @property
    def is_refused(self) -> bool:
        """Whether the owner said no to it."""
        return self.answer is not None and self.answer.answer == VisitAnswer.Answer.DECLINED


def beyond_bought(states: Sequence[DueState], days: LocalDays) -> dict[int, Beyond]:
    """By fan id, those of these rows whose next visit lies beyond what was bought.

    It counts in the year of its due day, or of today once that is past.  Three queries at most.
    """
    agreements = agreements_of({state.owner_id for state in states})
    years: dict[int, tuple[DueState, int, date]] = {}
    for state in states:
        due_on = state.due_on and max(state.due_on, days.of(state.site.time_zone))
        agreement = agreement_in_force(agreements.get(state.owner_id, ()), due_on)
        if agreement and agreement.visits_per_year and due_on:
            year_on = agreement_year(agreement, due_on)
            years[state.fan_id] = state, agreement.visits_per_year, year_on
    if not years:
        return {}
    sites = {state.site_id for state, _, _ in years.values()}
    walks = walks_since(sites, min(year_on for _, _, year_on in years.values()))
    found = {}
    for fan_id, (state, visits, year_on) in years.items():
        end_on = year_on + relativedelta(years=1)
        made = sum(year_on <= day < end_on for day in walks.get(state.site_id, ()))
        if made >= visits:
            found[fan_id] = Beyond(visits, made, year_on)
    answers = _answers({years[fan_id][0].site_id for fan_id in found})
    return {
        fan_id: replace(
            told, answer=answers.get((years[fan_id][0].site_id, told.year_on, told.number))
        )
        for fan_id, told in found.items()
    }


def _answers(sites: Collection[int]) -> Mapping[tuple[int, date, int], VisitAnswer]:
    """By site, agreement year and number of the visit, what was said to it last."""
    if not sites:
        return {}
    rows = VisitAnswer.objects.that_count().filter(site__in=sites)
    return {(row.site_id, row.year_on, row.number): row for row in rows}


def agreement_year(agreement: Agreement, day: date) -> date:
    """First day of the agreement's year that contains ``day``."""
    years = day.year - agreement.starts_on.year
    begin: date = agreement.starts_on + relativedelta(years=years)
    return begin if begin <= day else agreement.starts_on + relativedelta(years=years - 1)


def agreement_in_force(agreements: Sequence[Agreement], day: date | None) -> Agreement | None:
    """The latest begun of those in force on ``day``; they come in order of their start."""
    if day is None:
        return None
    begun = [a for a in agreements if a.starts_on <= day and (not a.ends_on or day <= a.ends_on)]
    return begun[-1] if begun else None


def agreements_of(owners: Collection[int]) -> Mapping[int, list[Agreement]]:
    """By owner, in order of their start."""
    found: dict[int, list[Agreement]] = defaultdict(list)
    for row in Agreement.objects.filter(owner__in=owners).order_by("starts_on"):
        found[row.owner_id].append(row)
    return found


def spending_limit(agreements: Sequence[Agreement], day: date) -> Decimal | None:
    """What may be spent on one thing without asking on ``day``; None where nothing is agreed."""
    agreement = agreement_in_force(agreements, day)
    return agreement.spending_limit if agreement else None


def is_left_to_us(cost: Decimal | None, limit: Decimal | None) -> bool:
    """Whether an owner need not be asked for a thing of that price."""
    return cost is not None and limit is not None and cost <= limit


def walks_since(sites: Iterable[int], first_on: date) -> Mapping[int, list[date]]:
    """Days of the walk-throughs made at these sites from ``first_on`` on."""
    found: dict[int, list[date]] = defaultdict(list)
    visits = walk_visits().filter(site__in=list(sites), local_on__gte=first_on)
    for site_id, day in visits.values_list("site_id", "local_on"):
        found[site_id].append(day)
    return found


def walk_visits() -> QuerySet[Visit]:
    """Standing visits that completed a walk-through of at least one fan, whatever their kind."""
    checks = Check.objects.filter(is_whole_look(), visit=OuterRef("pk"), stage="as_found")
    return Visit.objects.standing().filter(Exists(checks))


def is_whole_look() -> Q:
    """Checks that answered all that a walk-through of their machine requires."""
    direct, belt = _all_answered(WALK_THROUGH_DIRECT), _all_answered(WALK_THROUGH_BELT)
    return direct & (belt | ~Q(machine__drive="belt") | Q(machine__isnull=True))


def _all_answered(entries: Iterable[str]) -> Q:
    return reduce(and_, map(_answered, entries))


def _answered(entry: str) -> Q:
    columns = ALWAYS_ANSWERED_BY.get(entry, (entry,))
    given = [Q(**{f"{name}__isnull": False}) for name in columns]
    # over range is an answer without a number
    given += [Q(typed__has_key=name) for name in columns if name in _MEASURED]
    return reduce(or_, given)
