"""Weekly hours as people write them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from django.utils.dates import WEEKDAYS_ABBR
from django.utils.translation import gettext as _

DAY_MINUTES = 1440


def week_text(spans: Sequence[Sequence[Sequence[int]]] | None) -> str:
    """``Mon–Fri 7:00–15:00; Sat 8:00–12:00`` from seven lists of minutes, Monday first."""
    if spans is None:
        return ""
    days = [_day_text(day) for day in spans]
    if not any(days):
        return _("never")
    runs: list[str] = []
    for told, group in groupby(range(len(days)), key=days.__getitem__):
        run = list(group)
        if told:
            runs.append(f"{_run_text(run)} {told}")
    return "; ".join(runs)


def _run_text(days: Sequence[int]) -> str:
    first, last = str(WEEKDAYS_ABBR[days[0]]), str(WEEKDAYS_ABBR[days[-1]])
    return first if len(days) == 1 else f"{first}–{last}"


def _day_text(spans: Sequence[Sequence[int]]) -> str:
    return ", ".join(span_text(begin, end) for begin, end in spans)


def span_text(begin: int, end: int) -> str:
    """``6:01–7:46`` from minutes of the day."""
    return f"{clock_text(begin)}–{clock_text(end)}"


def clock_text(minute: int) -> str:
    """Minutes of the day as a clock shows them; past midnight it begins anew."""
    if minute == DAY_MINUTES:
        return "24:00"
    hours, minutes = divmod(minute % DAY_MINUTES, 60)
    return f"{hours}:{minutes:02}"
