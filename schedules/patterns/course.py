"""Whether a position fails ever more often, whatever item it is that fails."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from math import isfinite

from django.db.models import Q

from fleet.models import Fan
from schedules.engine.failures.trends import FEWEST_TO_JUDGE, course, laplace, power_law
from schedules.patterns.watched import first_visit_rows, watched_since
from visits.losses import once_each, read_losses


@dataclass(frozen=True)
class Course:
    """``failures`` in ``years``; ``told`` as ``schedules.engine.failures.trends.course`` says.

    ``shape`` of a power law, with limits of 95 %: above 1 they come ever faster.  ``p`` is
    Laplace's, two-sided.
    """

    failures: int
    years: float
    told: str
    shape: float
    lower: float
    upper: float
    p: float
    fewest: int = FEWEST_TO_JUDGE


def read_course(fan: Fan, now: datetime) -> Course | None:
    """None where fewer than two failures, or all on one day, say nothing."""
    losses = once_each(read_losses(Q(fan=fan)))
    today = now.astimezone(fan.site.zone).date().toordinal()
    days = sorted({loss.day.toordinal() for loss in losses})
    if len(days) < 2:
        return None
    visited = dict(first_visit_rows().filter(site=fan.site_id))
    since = min(int(watched_since([(fan.pk, fan.site_id, fan.entered_on)], visited)[0]), days[0])
    # a failure on the day watching began is one after it began
    end = max(today, days[-1]) - since + 1.0
    times = [[day - since + 0.5 for day in days]]
    fit, trend = power_law(times, [end]), laplace(times, [end])
    shape, lower, upper = (
        float(each[0]) for each in (fit.shape_unbiased, fit.shape_lower, fit.shape_upper)
    )
    if not isfinite(shape):
        return None
    return Course(
        len(days), end / 365.25, course(fit)[0], shape, lower, upper, float(trend.p_two_sided[0])
    )
