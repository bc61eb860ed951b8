"""The upright scale of a chart: how high each value stands, and which values are named."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10

from schedules.charts.chart import Chart

ROOM = 1.08
"""Highest value drawn, as a share of the highest shown, leaves this much air above it."""
NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
TICKS = 4


@dataclass(frozen=True, slots=True)
class ValueScale:
    """Values from ``low`` to ``high`` on ``height_px``; 0 is the top."""

    low: float
    high: float
    height_px: float
    is_log: bool = False

    def y(self, value: float) -> float:
        """How far below the top a value stands [px]; what lies outside stands on the edge."""
        low, high, value = map(self._place, (self.low, self.high, value))
        share = (value - low) / (high - low)
        return round(self.height_px * (1 - min(max(share, 0.0), 1.0)), 1)

    def _place(self, value: float) -> float:
        return log10(max(value, 1e-12)) if self.is_log else value

    def ticks(self) -> list[float]:
        """Round values within the scale, a few of them."""
        if self.is_log:
            return [10.0**n for n in range(ceil(log10(self.low)), floor(log10(self.high)) + 1)]
        step = nice_step((self.high - self.low) / TICKS)
        first, last = ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9)
        return [round(n * step, 10) for n in range(first, last + 1)]


def nice_step(least: float) -> float:
    """The smallest of 1, 2, 2.5, 5 times a power of ten that is no smaller than ``least``."""
    power = 10.0 ** floor(log10(least))
    return next(nice * power for nice in NICE if nice * power >= least * (1 - 1e-9))


def scale_of(chart: Chart, height_px: float) -> ValueScale:
    """A scale that shows every point and the first limit above them all."""
    if chart.steps:
        return ValueScale(min(chart.steps), max(chart.steps), height_px)
    shown = chart.values
    above = [limit.value for limit in chart.limits if limit.value >= max(shown)]
    shown += [limit.value for limit in chart.limits if limit.value <= max(shown)]
    shown += [min(above)] if above else []
    if chart.is_log:
        positive = [value for value in shown if value > 0] or [1.0]
        return _powers(min(positive), max(positive), height_px)
    if chart.from_zero:
        return ValueScale(0.0, max(*shown, 1e-9) * ROOM, height_px)
    air = max((max(shown) - min(shown)) * (ROOM - 1), max(shown) * 0.01, 1e-9)
    return ValueScale(min(shown) - air, max(shown) + air, height_px)


def _powers(low: float, high: float, height_px: float) -> ValueScale:
    first, last = floor(log10(low)), ceil(log10(high))
    return ValueScale(10.0**first, 10.0 ** max(last, first + 1), height_px, is_log=True)
