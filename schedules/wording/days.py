"""Days as people write them, and how far away or over they are."""

from __future__ import annotations

from datetime import date, datetime
from functools import lru_cache

from django.utils.formats import date_format
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from schedules.engine.failure_odds import DAYS_A_YEAR
from visits.wording.figures import number_text

LEAST_MONTHS, LEAST_YEARS = 2, 0.95
"""Shorter spans are told in days, and in months: nobody speaks of 0.0 years."""


def day_text(day: date | float) -> str:
    """``Tue 3 Mar 2026``, from a date or a day's ordinal."""
    when = day if isinstance(day, date) else date.fromordinal(int(day))
    return _whole_day(when, get_language())


@lru_cache(maxsize=4096)
def _whole_day(day: date, _language: str | None) -> str:
    """The same few days are named again and again."""
    # Translators: a day with its weekday, in Django's signs for dates
    return date_format(day, _("D j M Y"))


def short_day(day: date, today: date) -> str:
    """``Tue 3 Mar``; with its year where that is not today's."""
    return date_format(day, _("D j M")) if day.year == today.year else day_text(day)


def moment_text(local: datetime) -> str:
    """``Tue 3 Mar 2026, 14:05 CST``, by the clock that ``local`` goes by."""
    return date_format(local, _("D j M Y, H:i e"))


def span_text(years: float) -> str:
    """How long, as people say it: ``20 days``, ``5 months``, ``1 year``, ``2.4 years``."""
    if years >= LEAST_YEARS:
        told = number_text(round(years, 1))
        return ngettext("{years} year", "{years} years", 1 if told == "1" else 2).format(years=told)
    months = round(12 * years)
    if months >= LEAST_MONTHS:
        return ngettext("{months} month", "{months} months", months).format(months=months)
    days = max(1, round(years * DAYS_A_YEAR))
    return ngettext("{days} day", "{days} days", days).format(days=days)


def overdue_text(days: int) -> str:
    """How far the due day of what is overdue lies behind: ``15 days ago, overdue``."""
    return ngettext("{days} day ago, overdue", "{days} days ago, overdue", days).format(days=days)


def days_left_text(days: int) -> str:
    """How far a due day is from today: ``today``, ``in 3 days``, ``3 days ago``."""
    if days == 0:
        return _("today")
    if days < 0:
        return ngettext("{days} day ago", "{days} days ago", -days).format(days=-days)
    return ngettext("in {days} day", "in {days} days", days).format(days=days)
