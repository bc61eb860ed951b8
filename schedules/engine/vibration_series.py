"""One series of vibration: what standing level, step and trend its readings have led to.

Readings of one point, direction, detector, kind of meter and speed band make a series; grades felt
by hand make one of their own.  A level is entered by a reading worse than the level held, and left
only well below its limit, so that noise about a limit does not raise the same date again and again.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import nan

from fleet.quantities import VERDICT_ORDER
from schedules.engine.codes import ACT, STOP, WATCH, WITHIN
from schedules.engine.parameters import DueParams
from schedules.engine.record import Vibration

FELT = "felt"
SLACK = 1e-9
"""Readings have few decimals and meet a bound exactly; a float's last digits must not pass it."""


@dataclass(slots=True)
class Level:
    """A date that stands for a level: ``nth`` look since ``crossed_day``, counted from ``day``.

    A ``hushed`` one, of a fault known as lasting, raises no date but still has to be left.
    """

    verdict: int
    crossed_day: int
    day: int
    value_mm_s: float = nan
    limit_mm_s: float = nan
    nth: int = 1
    declined: bool = False
    doubled: bool = False
    hushed: bool = False

    def move(self, day: int) -> None:
        """Look again, counted from ``day``; an owner who declined is asked half as often."""
        self.day, self.nth, self.doubled = day, self.nth + 1, self.declined


@dataclass(slots=True)
class StepUp:
    """A reading well above those before it; ``since_day`` is the last of these."""

    day: int
    since_day: int
    value_mm_s: float
    earlier_mm_s: float


@dataclass(slots=True)
class Series:
    """``baseline`` is sorted and serves steps; ``days`` and ``values`` are exact, in time order."""

    point: str
    hz: float = nan
    held: int = WITHIN
    level: Level | None = None
    step: StepUp | None = None
    days: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    baseline: list[float] = field(default_factory=list)
    alarm_mm_s: float = nan
    wheel_cleaned: bool = False

    @property
    def dated(self) -> Level | None:
        """The level that stands and raises a date."""
        return None if self.level is None or self.level.hushed else self.level

    def begin_anew(self) -> None:
        """Forget all readings and what stands."""
        self.held, self.level, self.step = WITHIN, None, None
        self.days, self.values, self.baseline = [], [], []

    def settle(self, readings: Sequence[Vibration], day: int, params: DueParams) -> bool:
        """Take readings of the point, by whatever meter, as the look owed; true if a stop ends."""
        self.step = None
        if self.level is None or self.level.verdict == STOP:
            return self.end_stop(readings)
        if self.level.verdict == WATCH:
            self.level = None
        elif all(_below(reading.of_alarm, params) for reading in readings):
            self.level, self.held = None, fallen(ACT, worst(readings), params)
        else:
            self.level.move(day)
        return False

    def end_stop(self, readings: Sequence[Vibration]) -> bool:
        """Take readings of the point, as left too; true if they end a stop."""
        seen = order(worst(readings))
        if self.level is None or self.level.verdict != STOP or not WITHIN <= seen < STOP:
            return False
        self.level, self.held = None, seen
        return True

    def settle_by_hand(self) -> None:
        """Take a grade felt by hand: it is a look at watch and step, not at act."""
        self.step = None
        if self.level and self.level.verdict == WATCH:
            self.level = None

    def take(self, reading: Vibration, day: int, params: DueParams) -> None:
        """Take the series' own reading, by which the point is settled already."""
        if measured(reading):
            self._record(reading, day, params)
        seen = order(reading)
        if seen > self.held:
            self.cross(reading, day)
        elif seen and self.level is None:
            self.held = fallen(self.held, reading, params)

    def cross(self, reading: Vibration, day: int) -> None:
        """Begin a new level with this reading, whose verdict is worse than the one held."""
        self.held = order(reading)
        limit = {WATCH: reading.start_mm_s, ACT: reading.alarm_mm_s}.get(self.held, nan)
        self.level = Level(self.held, day, day, reading.value_mm_s, limit)

    def drops_clean(self, reading: Vibration, params: DueParams) -> bool:
        """True if this first exact reading since the wheel was cleaned is well below the last."""
        if not self.wheel_cleaned or not measured(reading):
            return False
        self.wheel_cleaned = False
        least = params.level.wheel_clean_drop * reading.start_mm_s + SLACK
        return bool(self.values) and self.values[-1] - reading.value_mm_s > least

    def _record(self, reading: Vibration, day: int, params: DueParams) -> None:
        value, rule = reading.value_mm_s, params.step
        if len(self.baseline) >= rule.least_earlier:
            earlier = middle(self.baseline)
            rise = value - earlier - SLACK
            if rise > rule.start_limit_share * reading.start_mm_s and rise > (
                rule.spread_factor * rule.spread_scale * _spread(self.baseline, earlier)
            ):
                self.step = StepUp(day, self.days[-1], value, earlier)
                self.baseline.clear()
        insort(self.baseline, value)
        self.days.append(day)
        self.values.append(value)
        self.alarm_mm_s = reading.alarm_mm_s


def measured(reading: Vibration) -> bool:
    """True if the reading is a number that slopes and medians may use."""
    return reading.exact and reading.value_mm_s == reading.value_mm_s


def order(reading: Vibration) -> int:
    """The verdict as a number, 0 where it could not be judged."""
    return VERDICT_ORDER[reading.verdict]


def worst(readings: Iterable[Vibration]) -> Vibration:
    """Worst verdict, then highest value."""
    return max(readings, key=lambda reading: (order(reading), reading.value_mm_s))


def fallen(held: int, reading: Vibration, params: DueParams) -> int:
    """The level held after a reading no worse than it; a stop ends as the reading says."""
    seen = order(reading)
    if held == STOP:
        return seen
    if held == ACT and seen < ACT and _below(reading.of_alarm, params):
        held = WATCH
    if held == WATCH and seen < WATCH and _below(reading.of_start, params):
        held = WITHIN
    return held


def middle(ordered: Sequence[float]) -> float:
    """Median of sorted values."""
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def _spread(values: Iterable[float], about: float) -> float:
    """Median absolute deviation."""
    return middle(sorted(abs(value - about) for value in values))


def _below(share_of_limit: float, params: DueParams) -> bool:
    return share_of_limit < params.level.fall_back - SLACK
