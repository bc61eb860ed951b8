"""Every number by which rounds are weighed, in one frozen, checked object."""

from __future__ import annotations

from dataclasses import dataclass

from schedules.engine.settable import Group, number


@dataclass(frozen=True)
class RoundsParams(Group):
    """Prices and distances of a week's rounds; all our choice until a company enters its own."""

    detour_factor: float = number(1.3, "road length / great circle", (1, 5))
    speed_km_h: float = number(40.0, "km/h", (1, 150))
    travel_hour_cost: float = number(60.0, "money/h", (0, 1e5))
    km_cost: float = number(0.5, "money/km", (0, 1e3))
    day_cost: float = number(30.0, "money/technician and day used", (0, 1e6))
    overtime_hour_cost: float = number(90.0, "money/h", (0, 1e5))
    moved_stop_cost: float = number(5.0, "money/work given another technician or day", (0, 1e5))
    overdue_day_cost: float = number(2.0, "money/overdue work and day it is done sooner", (0, 1e5))
    stop_day_cost: float = number(60.0, "money/work at a stop and day it is done sooner", (0, 1e5))
    soon_days: int = number(28, "d", (0, 366))
    off_start_minute: int = number(420, "min of the day, where nobody has hours", (0, 1439))
    cure_overtime_minutes: int = number(180, "min/technician and day", (0, 720))
