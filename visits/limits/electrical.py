"""Formulas for volts, amperes and ohms: unbalance, derating, overload limit, alike contacts."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# NEMA MG-1 figure 14-1 as read off the curve [% unbalance, factor]; printed readings differ by
# 0.01 to 0.02 at 3 % and 5 %.
_DERATING_PERCENT = (0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0)
_DERATING_FACTOR = (1.0, 1.0, 0.97, 0.95, 0.93, 0.89, 0.85, 0.82, 0.78, 0.76)

HIGHER_SERVICE_FACTOR = 1.15
LOWER_RISE_C = 40.0
OVERLOAD_RATIOS = (1.25, 1.15)
"""NFPA 70 430.32(A)(1): with SF >= 1.15 or a rise <= 40 C, otherwise."""
OVERLOAD_RATIOS_HARD_START = (1.40, 1.30)
"""NFPA 70 430.32(C): as far as it may be raised where the motor will not start its load."""


def _spread_percent(values: ArrayLike) -> Floats:
    lines = np.asarray(values, dtype=np.float64)
    mean = lines.mean(axis=-1)
    worst = np.abs(lines - mean[..., np.newaxis]).max(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(mean > 0, 100 * worst / mean, np.nan))[()]


def voltage_unbalance_percent(volts: ArrayLike) -> Floats:
    """NEMA unbalance [%] of line-to-line ``volts`` [V], shape (..., 3); result shape (...).

    Largest deviation from the mean, over the mean (not highest minus lowest).  NaN where a line is
    missing or the mean is not positive.  NEMA MG-1 14.36.
    """
    return _spread_percent(volts)


def resistance_unbalance_percent(ohms: ArrayLike) -> Floats:
    """Unbalance [%] of three winding resistances [ohm], shape (..., 3); result shape (...).

    Largest deviation from the mean, over the mean; NaN where one is missing.  Common practice of
    motor shops, no standard.
    """
    return _spread_percent(ohms)


def unbalance_derating(percent: ArrayLike) -> Floats:
    """Factor on rated power at a voltage unbalance of ``percent`` [%], same shape, in [0.76, 1].

    Linear between points read off NEMA MG-1 figure 14-1 (a curve reading, good to about 0.02).
    NaN above 5 %, where a motor should not run, and below 0.
    """
    factor = np.interp(
        np.asarray(percent, dtype=np.float64),
        _DERATING_PERCENT, _DERATING_FACTOR, left=np.nan, right=np.nan,
    )  # fmt: skip
    return np.asarray(factor)[()]


def overload_limit_a(
    full_load_a: ArrayLike,
    service_factor: ArrayLike,
    temperature_rise_c: ArrayLike = np.nan,
    hard_start: bool = False,
) -> Floats:
    """Highest overload setting [A] for plate ``full_load_a`` [A]; arguments broadcast.

    125 % where ``service_factor`` >= 1.15 or the marked ``temperature_rise_c`` [K] <= 40, else
    115 %; with ``hard_start`` the 140 % and 130 % allowed where the motor will not start.  NaN for
    a service factor or rise not on the plate counts as not met.  NFPA 70 430.32(A)(1) and (C).
    """
    favoured, plain = OVERLOAD_RATIOS_HARD_START if hard_start else OVERLOAD_RATIOS
    better = (np.asarray(service_factor, dtype=np.float64) >= HIGHER_SERVICE_FACTOR) | (
        np.asarray(temperature_rise_c, dtype=np.float64) <= LOWER_RISE_C
    )
    limit = np.asarray(full_load_a, dtype=np.float64) * np.where(better, favoured, plain)
    return np.asarray(limit)[()]


def high_resistance(ohms: ArrayLike, ratio: float = 1.5) -> NDArray[np.bool_]:
    """Which of similar closed contacts, shape (..., n) [ohm], exceed ``ratio`` times their lowest.

    A reason to investigate, not a failure; exactly at the limit is not above it.  NaN (not
    measured) is never high.  NETA MTS 7.6.
    """
    values = np.asarray(ohms, dtype=np.float64)
    lowest = np.where(np.isnan(values), np.inf, values).min(axis=-1, keepdims=True)
    return np.asarray(values > ratio * lowest * (1 + 1e-9))
