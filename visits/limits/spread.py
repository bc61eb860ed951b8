"""How far three alike readings lie apart, also where one of them is only bounded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from visits.limits.readings import Span


@dataclass(frozen=True, slots=True)
class Spread:
    """Largest deviation from the mean over the mean [%], with the values and mean behind it."""

    percent: Span
    values: tuple[float | None, ...]
    mean: float | None

    def furthest(self, names: Sequence[str]) -> str:
        """The name of the reading furthest from the mean; the first where that is not known."""
        if self.mean is None:
            return names[0]
        mean = self.mean
        apart = [abs((value or 0.0) - mean) for value in self.values]
        return names[apart.index(max(apart))]


def percent_of(values: Sequence[float]) -> float:
    """Largest deviation from the mean over the mean [%] of positive ``values``."""
    mean = sum(values) / len(values)
    return 100.0 * max(abs(value - mean) for value in values) / mean


def spread_of(readings: Sequence[Span]) -> Spread | None:
    """The spread of three readings; None where the mean is not positive."""
    typed = tuple(reading.typed for reading in readings)
    if all(reading.is_exact for reading in readings):
        exact = [reading.low for reading in readings]
        if sum(exact) <= 0:
            return None
        percent = percent_of(exact)
        return Spread(Span(percent, percent, "%", percent), typed, sum(exact) / len(exact))
    return Spread(_bounds(readings), typed, None)


def _bounds(readings: Sequence[Span]) -> Span:
    """Least and greatest spread the one bounded reading allows; anything if there are several.

    With two readings b, c fixed, the spread falls until the third is midway between them and rises
    from there on, towards 200 %.
    """
    exact = [reading.low for reading in readings if reading.is_exact]
    qualifier = next(reading.qualifier for reading in readings if not reading.is_exact)
    bounded = next(reading for reading in readings if not reading.is_exact)
    if len(exact) < 2 or min(exact) <= 0:
        return Span(0.0, inf, "%", None, qualifier)
    midway = min(max(sum(exact) / 2, bounded.low), bounded.high)
    ends = [_limit_percent(end, exact) for end in (bounded.low, bounded.high)]
    # Open at its ends: a hair below the least keeps the least itself, where the reading is midway.
    least = percent_of([midway, *exact]) if bounded.low < midway < bounded.high else min(ends)
    return Span(least * (1 - 1e-12), max(ends), "%", None, qualifier)


def _limit_percent(value: float, others: Sequence[float]) -> float:
    return 200.0 if value == inf else percent_of([value, *others])
