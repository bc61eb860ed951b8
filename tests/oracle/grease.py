"""Rule 4: when the grease at a place will reach its limit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import floor, sqrt

from scipy.stats import t as student

from schedules.engine.record import FanRecord, Grease, Look
from tests.oracle.moments import Live, in_order, later

PLACES = ("hood", "duct", "housing")
CLEANED_TO_UM = 50.0
HORIZON_DAYS = 36_525
ROUNDING_SLACK = 1e-6


@dataclass(frozen=True)
class Depth:
    """A depth on a day: the comb's middle runs the line, its upper end meets the limit [um]."""

    day: int
    middle_um: float
    upper_um: float
    limit_um: float


def _depth(look: Look, place: str) -> Depth | None:
    at_place: list[Grease] = [grease for grease in look.grease if grease.place == place]
    if not at_place:
        return None
    worst = max(at_place, key=lambda grease: grease.high_um)
    middle = (worst.low_um + worst.high_um) / 2
    return Depth(look.day, middle, worst.high_um, worst.limit_um)


def last_cleaned(record: FanRecord, place: str) -> tuple[int, int | None] | None:
    """The moment at which a place was last cleaned; a new machine has a clean housing."""
    moments: list[tuple[int, int | None]] = [
        (event.end_day, event.end_minute)
        for event in record.events
        if event.kind == "hood_cleaning" and place in event.places
    ]
    moments += [
        (action.day, action.minute)
        for action in record.actions
        if action.kind in ("cleaned", "replaced") and action.item == place
    ]
    if place == "housing":
        moments += [(machine.since_day, None) for machine in record.machines if not machine.first]
    return max(moments, key=lambda moment: (moment[0], moment[1] or 0), default=None)


def _as_left(look: Look, day: int, minute: int | None) -> bool:
    """Whether a look of the cleaning day tells the depth as left."""
    if look.day != day:
        return False
    if look.stage == "as_found":
        return later(look, day, minute)
    return look.minute is None or minute is None or look.minute >= minute


def _points(record: FanRecord, place: str) -> tuple[tuple[int, float] | None, list[Depth]]:
    """The start point and the depths read from it on; a measured start is the first of them."""
    read = [(look, depth) for look in in_order(record.looks) if (depth := _depth(look, place))]
    found = [depth for look, depth in read if look.stage == "as_found"]
    cleaned = last_cleaned(record, place)
    if cleaned is None:
        return ((found[0].day, found[0].middle_um), found) if found else (None, [])
    left = [depth for look, depth in read if _as_left(look, *cleaned)]
    start = (cleaned[0], left[-1].middle_um if left else CLEANED_TO_UM)
    return start, left[-1:] + [depth for depth in found if depth.day > cleaned[0]]


def slope_um_a_day(start: tuple[int, float], later_depths: list[Depth]) -> float | None:
    """Growth by the line through the start point, at its upper edge from three readings on."""
    steps = [(depth.day - start[0], depth.middle_um - start[1]) for depth in later_depths]
    square_days = sum(days * days for days, _ in steps)
    if square_days == 0:
        return None
    slope = sum(days * growth for days, growth in steps) / square_days
    if len(steps) >= 3:
        freedom = len(steps) - 1
        rest = sum((growth - slope * days) ** 2 for days, growth in steps)
        slope += student.ppf(0.90, freedom) * sqrt(rest / freedom / square_days)
    if len(steps) >= 2:
        (before, after) = list(pairwise(later_depths))[-1]
        if after.day - before.day >= 14:
            slope = max(slope, (after.middle_um - before.middle_um) / (after.day - before.day))
    return slope


def crossing_day(start: tuple[int, float], depths: list[Depth], measured_start: bool) -> int | None:
    last = depths[-1]
    if last.upper_um >= last.limit_um * (1 - 1e-9):
        return last.day
    slope = slope_um_a_day(start, depths[1:] if measured_start else depths)
    if slope is None or slope <= 0:
        return None
    days = (last.limit_um - last.upper_um) / slope
    return last.day + floor(days + ROUNDING_SLACK) if days <= HORIZON_DAYS else None


def grease_at(record: FanRecord, place: str) -> list[Live]:
    start, depths = _points(record, place)
    if start is None or not depths:
        return []
    measured_start = (depths[0].day, depths[0].middle_um) == start
    crossing = crossing_day(start, depths, measured_start)
    if crossing is None:
        return []
    last_day = depths[-1].day
    due = max(crossing - 14, last_day + 1)
    return [Live(4, due, max(crossing, due), last_day, why=place)]


def grease(record: FanRecord) -> list[Live]:
    return [live for place in PLACES for live in grease_at(record, place)]
