"""Insulation resistance: correction to 40 degrees and the least value of IEEE 43."""

from __future__ import annotations

from math import exp

import numpy as np
from numpy.typing import ArrayLike, NDArray

THERMOPLASTIC, THERMOSETTING = "thermoplastic", "thermosetting"
THERMOSETTING_FROM_C = 10.0
WINDINGS = ("random", "form", "field", "armature")
_KELVIN, _BASE_K = 273.0, 313.0
_COLD_K, _HOT_K = 1245.0, 4230.0


def factor_to_40c(temperature_c: float, insulation: str) -> float:
    """What a reading taken at ``temperature_c`` [C] is multiplied by to stand for 40 C.

    IEEE 43-2013 6.3.  The thermosetting form begins at 10 C (NaN below) and is carried on beyond
    85 C, where the standard gives none, because there it is the stricter of the two.  Its
    constants are from memory.
    """
    if insulation == THERMOPLASTIC:
        return float(0.5 ** ((40.0 - temperature_c) / 10.0))
    if insulation != THERMOSETTING:
        raise ValueError(
            f"insulation {insulation!r} is not known; write thermoplastic or thermosetting"
        )
    if temperature_c < THERMOSETTING_FROM_C:
        return float("nan")
    constant = _HOT_K if temperature_c >= 40.0 else _COLD_K
    return exp(-constant * (1.0 / (temperature_c + _KELVIN) - 1.0 / _BASE_K))


def insulation_at_40c_megohm(
    megohm: ArrayLike, temperature_c: ArrayLike, insulation: str
) -> NDArray[np.float64]:
    """Insulation resistance corrected to 40 C [Mohm]; ``megohm`` and ``temperature_c`` broadcast.

    ``insulation`` is ``thermoplastic`` (halves every 10 K) or ``thermosetting`` (NaN below 10 C).
    IEEE 43-2013 6.3.  Raises ValueError for another insulation.
    """
    factors = np.vectorize(factor_to_40c, otypes=[np.float64], excluded={1})(
        temperature_c, insulation
    )
    return np.asarray(np.asarray(megohm, dtype=np.float64) * factors)[()]


def minimum_insulation_megohm(
    rated_volts: ArrayLike, winding: str = "random", before_1970: bool = False
) -> NDArray[np.float64]:
    """Least one-minute resistance at 40 C [Mohm] for ``rated_volts`` [V], same shape.

    ``winding`` is ``random``, ``form``, ``field`` or ``armature`` (dc).  kV + 1 for field windings
    and all made before about 1970; 100 for form-wound from 1 kV; else 5.  IEEE 43-2013 12.3
    Table 3; 5 and 100 are from memory.  Raises ValueError for another winding.
    """
    if winding not in WINDINGS:
        raise ValueError(f"winding {winding!r} is not known; write one of {', '.join(WINDINGS)}")
    volts = np.asarray(rated_volts, dtype=np.float64)
    if before_1970 or winding == "field":
        return np.asarray(volts / 1e3 + 1.0)[()]
    return np.asarray(np.where((volts >= 1e3) & (winding == "form"), 100.0, 5.0))[()]
