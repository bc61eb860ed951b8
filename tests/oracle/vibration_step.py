"""Rule 5b: a sudden change against the series' own history."""

from __future__ import annotations

from statistics import median

from schedules.engine.record import Look
from tests.oracle.moments import Live, Place
from tests.oracle.series import Seen, Series

STEP_DAYS = 14
SHARE_OF_START = 0.25
SPREAD = 3 * 1.4826
EPS = 1e-9  # 4.9 - 3.0 is not more than 1.9


def is_step(earlier: list[float], value: float, start_mm_s: float) -> bool:
    """Whether a value stands out of at least two earlier ones [mm/s]."""
    if len(earlier) < 2:
        return False
    usual = median(earlier)
    spread = median(abs(one - usual) for one in earlier)
    rise = value - usual
    return rise - SHARE_OF_START * start_mm_s > EPS and rise - SPREAD * spread > EPS


def last_step(series: Series) -> tuple[Place, Look] | None:
    """The last step of a series; the step and the reading after it begin a new baseline."""
    found = None
    baseline: list[float] = []
    for place, look, reading in series.exact:
        if is_step(baseline, reading.value_mm_s, reading.start_mm_s):
            found = (place, look)
            baseline = []
        baseline.append(reading.value_mm_s)
    return found


def looked_at_since(point: str, seen: list[Seen], place: Place) -> bool:
    """Whether a later as-found look measured the point, or felt the fan by hand."""
    return any(
        one.place > place and one.as_found and (one.at(point) or one.look.felt) for one in seen
    )


def step_dates(series: Series, seen: list[Seen]) -> list[Live]:
    step = last_step(series)
    if step is None or looked_at_since(series.point, seen, step[0]):
        return []
    day = step[1].day
    return [Live(5, day + STEP_DAYS, day + STEP_DAYS + 3, day, why=f"step {series.key}")]
