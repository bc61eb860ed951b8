"""How many hours a greased bearing runs before it wants new grease."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.series import Floats

BEARING_K = MappingProxyType(
    {"ball": 10.0, "cylindrical_roller": 5.0, "needle": 5.0}
    | {"spherical_roller": 1.0, "taper_roller": 1.0, "thrust": 1.0}
)
"""Factor K of the interval formula by bearing type.  Bearing handbook, confirmed."""

REFERENCE_C = 70.0
HALVING_K = 15.0
COOL_CAP = 2.0

SMALL_SERIES = 210
LARGE_SERIES = 280
SMALL_FRAME_H = MappingProxyType({900: 22_000.0, 1200: 18_000.0, 1800: 12_000.0, 3600: 5_500.0})
LARGE_FRAME_H = MappingProxyType({1800: 9_500.0})
"""Hours by speed [rpm] for standard duty, horizontal shaft.  Motor manual, confirmed."""

SEVERE_DUTY = 0.5
"""Motor manual: x 1.0 standard, 0.5 severe, 0.1 extreme; grease-laden air is taken as severe."""


def regrease_interval_h(
    speed_rpm: ArrayLike,
    bore_mm: ArrayLike,
    k: ArrayLike = BEARING_K["ball"],
    temperature_c: ArrayLike = REFERENCE_C,
    vertical: ArrayLike = True,
) -> Floats:
    """Hours between regreasings by the bearing handbook.

    speed_rpm : the bearing's own shaft, not the motor's where a belt lies between [rpm]
    bore_mm : [mm]; k : ``BEARING_K``; temperature_c : of the bearing [deg C]
    vertical : halves the interval; an upblast fan's shaft stands
    returns float64, broadcast shape [h]; NaN where an input is missing or not positive, and above
        the speed at which the formula has nothing left to give

    t = K * (14e6 / (n * sqrt(d)) - 4 * d), halved for every 15 K above 70 deg C and by the same
    law longer below it, at most doubled.  Source: Tribology Handbook A20; corrections of bearing
    handbooks.
    """
    speed, bore = _positive(speed_rpm), _positive(bore_mm)
    warmer = (np.asarray(temperature_c, dtype=np.float64) - REFERENCE_C) / HALVING_K
    hours = np.asarray(k) * (14e6 / (speed * np.sqrt(bore)) - 4 * bore)
    corrected = hours * np.minimum(0.5**warmer, COOL_CAP) * np.where(vertical, 0.5, 1.0)
    return np.asarray(np.where(corrected > 0, corrected, np.nan))


def frame_interval_h(
    frame: ArrayLike,
    speed_rpm: ArrayLike,
    duty: ArrayLike = SEVERE_DUTY,
    vertical: ArrayLike = True,
) -> Floats:
    """Hours between regreasings by the motor's frame, for want of a bore.

    frame : number as on the plate without letters, 143 for 143T; speed_rpm : the motor's [rpm]
    duty : factor of the table's own, ``SEVERE_DUTY`` unless known; vertical : halves
    returns float64, broadcast shape [h]; NaN where the table has no row

    The table's next higher speed counts.  A frame belongs to the series of its first two digits:
    213 and 215 are of series 210 (frame numbering from memory).
    """
    series, speed = np.asarray(frame, dtype=np.float64) // 10 * 10, _positive(speed_rpm)
    small = np.where(series <= SMALL_SERIES, _next_speed_up(SMALL_FRAME_H, speed), np.nan)
    large = (series > SMALL_SERIES) & (series <= LARGE_SERIES)
    hours = np.where(large, _next_speed_up(LARGE_FRAME_H, speed), small)
    return np.asarray(hours * np.asarray(duty) * np.where(vertical, 0.5, 1.0))


def _positive(values: ArrayLike) -> Floats:
    numbers = np.asarray(values, dtype=np.float64)
    return np.where(numbers > 0, numbers, np.nan)


def _next_speed_up(table: MappingProxyType[int, float], speed: Floats) -> Floats:
    speeds = np.array(sorted(table))
    hours = np.array([*(table[s] for s in speeds), np.nan])
    return np.asarray(hours[np.searchsorted(speeds, np.where(np.isnan(speed), np.inf, speed))])
