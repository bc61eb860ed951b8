"""Rule 5c: a steady rise, and the day on which it would reach the alarm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from math import floor, sqrt
from statistics import NormalDist, median

from tests.oracle.moments import Live
from tests.oracle.series import Series

APART_DAYS = 14
AT_LEAST_READINGS = 5
AT_LEAST_DAYS = 60
LEVEL = 0.80
HORIZON_DAYS = 36_525
ROUNDING_SLACK = 1e-6
EPS = 1e-9


def sign(value: float) -> int:
    return (value > 0) - (value < 0)


def concordance(x: list[int], y: list[float]) -> int:
    """Kendall's S: pairs that rise together less pairs that do not."""
    return sum(sign(x[j] - x[i]) * sign(y[j] - y[i]) for i, j in combinations(range(len(x)), 2))


# Values left to place and values placed today (how many of each), and the sums S so far.
Ways = dict[tuple[tuple[int, ...], tuple[int, ...]], Counter[int]]


def _with(numbers: tuple[int, ...], k: int, more: int) -> tuple[int, ...]:
    return tuple(number + more if i == k else number for i, number in enumerate(numbers))


def _place_one_more(ways: Ways, counts: tuple[int, ...]) -> Ways:
    """Put each value still left on the next reading; it meets those of earlier days only."""
    result: Ways = {}
    for (left, today), sums in ways.items():
        before = [n - rest - now for n, rest, now in zip(counts, left, today, strict=True)]
        for k, rest in enumerate(left):
            if rest == 0:
                continue
            gained = sum(before[:k]) - sum(before[k + 1 :])
            key = (_with(left, k, -1), _with(today, k, 1))
            into = result.setdefault(key, Counter())
            for total, number in sums.items():
                into[total + gained] += number
    return result


def _close_group(ways: Ways) -> Ways:
    result: Ways = {}
    for (left, today), sums in ways.items():
        result.setdefault((left, (0,) * len(today)), Counter()).update(sums)
    return result


@lru_cache(maxsize=10_000)
def null_counts(a_day: tuple[int, ...], counts: tuple[int, ...]) -> Counter[int]:
    """How many orders of the values give each S, from how many share a day or a value."""
    ways: Ways = {(counts, (0,) * len(counts)): Counter({0: 1})}
    for readings in a_day:
        for _ in range(readings):
            ways = _place_one_more(ways, counts)
        ways = _close_group(ways)
    totals: Counter[int] = Counter()
    for sums in ways.values():
        totals.update(sums)
    return totals


def _sizes(values: Iterable[float]) -> tuple[int, ...]:
    """How often each value occurs, by rising value."""
    return tuple(number for _, number in sorted(Counter(values).items()))


def kendall_p(x: list[int], y: list[float]) -> Fraction:
    """Chance of an S at least as high if the values stood in any order."""
    counts = null_counts(_sizes(x), _sizes(y))
    observed = concordance(x, y)
    high = sum(number for total, number in counts.items() if total >= observed)
    return Fraction(high, sum(counts.values()))


def kept_pairs(x: list[int]) -> list[tuple[int, int]]:
    return [(i, j) for i, j in combinations(range(len(x)), 2) if x[j] - x[i] >= APART_DAYS]


def sign_sum_variance(pairs: list[tuple[int, int]]) -> float:
    """Each pair 1; two pairs with one end in common +1/3, chained -1/3, both ways round."""
    shared = chained = 0
    for (a, b), (c, d) in combinations(pairs, 2):
        shared += (a == c) + (b == d)
        chained += (b == c) + (a == d)
    return len(pairs) + 2 * (shared - chained) / 3


def slopes(x: list[int], y: list[float]) -> list[float]:
    return sorted((y[j] - y[i]) / (x[j] - x[i]) for i, j in kept_pairs(x))


def upper_slope(x: list[int], y: list[float], level: float = LEVEL) -> float:
    """The upper rank limit of the slopes at a two-sided level."""
    steep = slopes(x, y)
    n = len(steep)
    margin = NormalDist().inv_cdf((1 + level) / 2) * sqrt(sign_sum_variance(kept_pairs(x)))
    return steep[min(round((n + margin) / 2) + 1, n) - 1]


def fitted_last(x: list[int], y: list[float]) -> float:
    slope = median(slopes(x, y))
    days = [day - x[-1] for day in x]
    return median(value - slope * day for day, value in zip(days, y, strict=True))


def days_to_alarm(x: list[int], y: list[float], alarm_mm_s: float) -> int | None:
    """Whole days from the last reading to the alarm; 0 at or over it, None if it never comes."""
    fitted = fitted_last(x, y)
    if fitted >= alarm_mm_s - EPS:
        return 0
    steep = upper_slope(x, y)
    if not steep > 0 or not alarm_mm_s > 0:
        return None
    days = (alarm_mm_s - fitted) / steep
    return floor(days + ROUNDING_SLACK) if days <= HORIZON_DAYS else None


def rises(x: list[int], y: list[float]) -> bool:
    enough = len(x) >= AT_LEAST_READINGS and x[-1] - x[0] >= AT_LEAST_DAYS
    return enough and kendall_p(x, y) <= Fraction(1, 20)


def trend_dates(series: Series, level_stands: bool, interval_days: int | None) -> list[Live]:
    x = [look.day for _, look, _ in series.exact]
    y = [reading.value_mm_s for _, _, reading in series.exact]
    if not rises(x, y):
        return []
    alarm_mm_s = series.exact[-1][2].alarm_mm_s
    last, why = x[-1], f"trend {series.key}"
    if fitted_last(x, y) >= alarm_mm_s - EPS:
        return [] if level_stands else [Live(5, last + 7, last + 7, last, why=why)]
    days = days_to_alarm(x, y, alarm_mm_s)
    if days is None or (interval_days is not None and days // 2 >= interval_days):
        return []
    due = last + min(max(days // 2, 7), days)
    return [Live(5, due, max(due, min(due + 7, last + days)), last, why=why)]
