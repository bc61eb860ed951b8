"""Vibration formulas: one unit for comparison across fans, and severity zones."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fleet.units import factor, peak_to_rms

ZONES = ("A", "B", "C", "D")


def velocity_mm_s_rms(value: ArrayLike, unit: str, detector: str) -> NDArray[np.float64]:
    """``value`` in ``unit`` (mm/s, in/s ...) read by ``detector`` (rms, peak) as mm/s rms.

    Peak becomes rms by the root of two, which holds for one pure sine only: a number for
    comparing, never for judging, which is done in the unit and detector as typed.  Raises UnitError
    for a unit that is no velocity or an unknown detector.
    """
    scale = factor(unit, "mm/s") * peak_to_rms(1.0, detector)
    return np.asarray(np.asarray(value, dtype=np.float64) * scale)[()]


def severity_zone(velocity_mm_s_rms: ArrayLike, boundaries: ArrayLike) -> NDArray[np.str_]:
    """Zone A to D of ``velocity_mm_s_rms`` [mm/s rms] between the three ``boundaries``, same shape.

    A value on a boundary belongs to the worse zone; NaN has zone ``""``.  ISO 10816-1 and -3, whose
    boundaries A/B, B/C, C/D are given ascending; ValueError otherwise.
    """
    edges = np.asarray(boundaries, dtype=np.float64)
    if edges.shape != (3,) or not (np.diff(edges) > 0).all():
        raise ValueError(f"boundaries {boundaries!r} must be three rising numbers: A/B, B/C, C/D")
    velocity = np.asarray(velocity_mm_s_rms, dtype=np.float64)
    zones = np.asarray(ZONES)[np.searchsorted(edges, velocity, side="right")]
    return np.asarray(np.where(np.isnan(velocity), "", zones))[()]
