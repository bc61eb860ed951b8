"""What waiting costs, of fans on record, in sentences that promise no more than is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Min
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Site
from schedules.due.lines import DueLine
from schedules.engine import inspection
from schedules.engine.waiting import DEFAULT_WAITING, WaitingParams, cost_of_waiting, rounded_out
from visits.models import Finding, Visit

DAYS_A_YEAR = 365.25
OF_SITE = ("closed_hours", "closed_hour_cost", "lapsed_week_cost")


@dataclass(frozen=True)
class WaitingWords:
    """What waiting may cost, how that was reckoned, and what a lapsed inspection adds."""

    range: str
    reckoned: str
    lapsed: str = ""


def waiting_of(lines: Sequence[DueLine]) -> Mapping[int, WaitingWords]:
    """By fan id; two queries however many fans."""
    if not lines:
        return {}
    fan_ids = [line.state.fan_id for line in lines]
    failures, since = _failures(fan_ids), _first_visits(lines)
    return {
        line.state.fan_id: _words(line, failures.get(line.state.fan_id, 0), since) for line in lines
    }


def _failures(fan_ids: Sequence[int]) -> Mapping[int, int]:
    """Losses of function on record; call-backs are no new failure."""
    rows = Finding.objects.filter(
        fan__in=fan_ids, loss_of_function=True, call_back=False, visit__superseded_by__isnull=True
    )
    return dict(rows.order_by().values_list("fan").annotate(Count("pk")))


def _first_visits(lines: Sequence[DueLine]) -> Mapping[int, date]:
    sites = {line.state.site_id for line in lines}
    rows = Visit.objects.standing().filter(site__in=sites).order_by()
    return dict(rows.values_list("site").annotate(Min("local_on")))


def params_of(site: Site) -> tuple[WaitingParams, list[str]]:
    """What a site's waiting is reckoned with, and which of its prices are only our choice."""
    own = {name: float(value) for name in OF_SITE if (value := getattr(site, name)) is not None}
    return DEFAULT_WAITING.overridden(own), [name for name in OF_SITE if name not in own]


def _words(line: DueLine, failures: int, first_visits: Mapping[int, date]) -> WaitingWords:
    if line.stop:
        # no odds of a failure: it must not run as it is
        return WaitingWords(
            _("This fan must not run until it is put right: no cooking under its hood."), ""
        )
    params, ours = params_of(line.state.site)
    since = min(line.state.fan.entered_on, first_visits.get(line.state.site_id, date.max))
    years = max(0, (line.today - since).days) / DAYS_A_YEAR
    weeks, until = _weeks_ahead(line, params)
    cost = cost_of_waiting(failures, years, weeks, params)
    low, high = rounded_out(float(cost.low), float(cost.high))
    return WaitingWords(
        range=_range_text(low, high, until),
        reckoned=_reckoned_text(params, failures, years, ours),
        lapsed=_lapsed_text(line, params, ours),
    )


def _weeks_ahead(line: DueLine, params: WaitingParams) -> tuple[float, str]:
    """Until the next visit that would come anyway: the due day, else as long as we suppose."""
    if line.days_left is not None and line.days_left > 0:
        return line.days_left / 7, _("until the next visit falls due")
    weeks = params.weeks_without_a_day
    told = ngettext("for another {weeks} week", "for another {weeks} weeks", round(weeks))
    return weeks, told.format(weeks=f"{weeks:g}")


def _range_text(low: int, high: int, until: str) -> str:
    if high == 0:
        return _("Waiting {until} costs next to nothing by this reckoning.").format(until=until)
    return _("Waiting {until} may cost somewhere between {low} and {high}.").format(
        until=until, low=f"{low:,}", high=f"{high:,}"
    )


def _reckoned_text(params: WaitingParams, failures: int, years: float, ours: Sequence[str]) -> str:
    record = ngettext(
        "one failure on record in {years} years",
        "{failures} failures on record in {years} years",
        failures,
    ).format(failures=failures or _("no"), years=f"{years:.1f}")
    hours = _ours(f"{params.closed_hours:g}", "closed_hours" in ours)
    price = _ours(f"{params.closed_hour_cost:,.0f}", "closed_hour_cost" in ours)
    return _(
        "Reckoned from {record} and what is usual (our choice), times the share of failures a "
        "visit can prevent ({share} %, our choice), times {hours} hours closed, times {price} an "
        "hour. What was found on this fan is not counted in, so it may be more; it is a rough "
        "range, not a forecast."
    ).format(record=record, share=f"{params.preventable_share * 100:.0f}", hours=hours, price=price)


def _ours(text: str, is_ours: bool) -> str:
    return _("{figure} (our choice)").format(figure=text) if is_ours else text


def _lapsed_text(line: DueLine, params: WaitingParams, ours: Sequence[str]) -> str:
    """What a lapsed code inspection is reckoned at, where it has lapsed."""
    told = next((each for each in line.dates if each.rule == inspection.number), None)
    if told is None or told.overdue_after_day >= line.today.toordinal():
        return ""
    weeks = -(-(line.today.toordinal() - told.overdue_after_day) // 7)
    price = _ours(f"{params.lapsed_week_cost:,.0f}", "lapsed_week_cost" in ours)
    return ngettext(
        "The code inspection has lapsed for {weeks} week; a week is reckoned at {price}. What an "
        "insurer or the authority makes of it nobody here can tell.",
        "The code inspection has lapsed for {weeks} weeks; a week is reckoned at {price}. What an "
        "insurer or the authority makes of it nobody here can tell.",
        weeks,
    ).format(weeks=weeks, price=price)


def latest_day(today: date) -> date:
    """How far ahead "not now until" may reach; our choice."""
    return today + timedelta(days=365)
