"""What waiting costs, of fans on record: figures for a page or letter to put into sentences."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Min, Q

from fleet.models import Site
from schedules.due.lines import DueLine
from schedules.engine import inspection
from schedules.engine.waiting import DEFAULT_WAITING, WaitingParams, cost_of_waiting, rounded_out
from visits.losses import failed_days, once_each, read_losses
from visits.models import Visit

DAYS_A_YEAR = 365.25
OF_SITE = ("closed_hours", "closed_hour_cost", "lapsed_week_cost")


@dataclass(frozen=True)
class AtStake:
    """What a fan's owner may lose while waiting ``weeks``: from ``low`` to ``high`` [money].

    It rests on ``failures`` in ``years`` of record and on ``params``, of which ``ours`` names the
    prices that are only our choice.  ``lapsed_weeks`` counts, begun ones whole, since the code
    inspection lapsed; 0 where it has not.
    """

    low: int
    high: int
    weeks: float
    failures: int
    years: float
    params: WaitingParams
    ours: Sequence[str]
    lapsed_weeks: int


def at_stake(lines: Sequence[DueLine]) -> Mapping[int, AtStake]:
    """By fan id; two queries however many fans.  A fan that does not run is not priced."""
    running = [line for line in lines if line.may_run]
    if not running:
        return {}
    fan_ids = [line.state.fan_id for line in running]
    failures, since = failures_of(fan_ids), first_visits({line.state.site_id for line in running})
    return {
        line.state.fan_id: _stake(line, failures.get(line.state.fan_id, 0), since)
        for line in running
    }


def failures_of(fan_ids: Collection[int]) -> Mapping[int, int]:
    """By fan, days with a loss of function on record; call-backs are no new failure."""
    days = failed_days(once_each(read_losses(Q(fan__in=fan_ids))))
    return {fan: len(each) for fan, each in days.items()}


def first_visits(site_ids: Collection[int]) -> Mapping[int, date]:
    """By site, the day of the first visit on record."""
    rows = Visit.objects.standing().filter(site__in=site_ids).order_by()
    return dict(rows.values_list("site").annotate(Min("local_on")))


def years_of_record(entered_on: date, first_visit: date | None, today: date) -> float:
    """How long failures of a fan would have been noted."""
    since = min(entered_on, first_visit or date.max)
    return max(0, (today - since).days) / DAYS_A_YEAR


def params_of(site: Site) -> tuple[WaitingParams, list[str]]:
    """What a site's waiting is reckoned with, and which of its prices are only our choice."""
    own = {name: float(value) for name in OF_SITE if (value := getattr(site, name)) is not None}
    return DEFAULT_WAITING.overridden(own), [name for name in OF_SITE if name not in own]


def _stake(line: DueLine, failures: int, visited: Mapping[int, date]) -> AtStake:
    params, ours = params_of(line.state.site)
    first_visit = visited.get(line.state.site_id)
    years = years_of_record(line.state.fan.entered_on, first_visit, line.today)
    weeks = _weeks_ahead(line, params)
    cost = cost_of_waiting(failures, years, weeks, params)
    low, high = rounded_out(float(cost.low), float(cost.high))
    return AtStake(low, high, weeks, failures, years, params, ours, _lapsed_weeks(line))


def _weeks_ahead(line: DueLine, params: WaitingParams) -> float:
    """Until somebody comes: the day booked, else the due day, else as long as we suppose."""
    if line.booked is not None:
        return (line.booked.day - line.today).days / 7
    if line.days_left is not None and line.days_left > 0:
        return line.days_left / 7
    return params.weeks_without_a_day


def _lapsed_weeks(line: DueLine) -> int:
    told = next((each for each in line.dates if each.rule == inspection.number), None)
    if told is None:
        return 0
    return max(0, -(-(line.today.toordinal() - told.overdue_after_day) // 7))
