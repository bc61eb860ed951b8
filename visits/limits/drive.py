"""Belts, sheaves and what a change of speed does to a fan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
DEFLECTION_PER_SPAN = 1 / 64


@dataclass(frozen=True, slots=True)
class FanLaw:
    """What a fan on an unchanged system does at its new speed; units as given, arrays alike.

    ``flow`` goes with the speed, ``pressure`` with its square, ``power`` with its cube; NaN where
    the quantity was not given.
    """

    flow: Floats
    pressure: Floats
    power: Floats


def fan_law(
    speed_from: ArrayLike,
    speed_to: ArrayLike,
    flow: ArrayLike = np.nan,
    pressure: ArrayLike = np.nan,
    power: ArrayLike = np.nan,
) -> FanLaw:
    """Flow, pressure and power after a change of speed (same unit both), arguments broadcasting.

    The ratio of two flows serves as well as that of two speeds.  AMCA fan laws, for a fixed system
    and the same air.
    """
    ratio = np.asarray(speed_to, dtype=np.float64) / np.asarray(speed_from, dtype=np.float64)
    return FanLaw(
        flow=np.asarray(np.asarray(flow) * ratio)[()],
        pressure=np.asarray(np.asarray(pressure) * ratio**2)[()],
        power=np.asarray(np.asarray(power) * ratio**3)[()],
    )


def belt_deflection_in(span_in: ArrayLike) -> Floats:
    """Deflection [in] at mid-span of a belt tensioned right, for ``span_in`` [in], same shape.

    1/64 in per inch of span at the force the belt's section calls for; belt handbook (RMA/ARPM).
    """
    return np.asarray(np.asarray(span_in, dtype=np.float64) * DEFLECTION_PER_SPAN)[()]
