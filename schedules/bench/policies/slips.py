"""Which failures slip through: what had last been seen of what then failed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from schedules.bench.world.luck import MODES
from schedules.bench.world.visiting import FELT_STEPS_MM_S, Mended, Seen

SIGHTS = ("never seen", "sound", "slight", "plain")
"""Last seen of the part or of what drives its failure; *plain* was declined."""

SUPPLY_STEPS, VENTS_STEPS = np.array([1.0, 2.0]), np.array([0.1, 0.3])
_LOOKED_AT = {
    "bearing": ("bearing",), "belt": ("belt",), "cable": ("cable",),
    "switch": ("vibration", "felt", "corrosion"), "wheel": ("vibration", "felt"),
    "motor": ("supply_percent", "vents"), "nowhere": (),
}  # fmt: skip
_STEPS = {
    "vibration": FELT_STEPS_MM_S[:2], "supply_percent": SUPPLY_STEPS, "vents": VENTS_STEPS,
}  # fmt: skip
_MENDS = {
    "bearing": ("bearing",), "belt": ("belt",), "cable": ("cable",),
    "balance": ("switch", "wheel"), "supply": ("motor",), "vents": ("motor",),
}  # fmt: skip
_GRADES = np.array([1.0, 2.0])


class Slips:
    """`counts`, shape (modes, sights): failures by what had last been seen."""

    def __init__(self, fans: int) -> None:
        self._last: NDArray[np.int64] = np.zeros((fans, len(MODES)), dtype=np.int64)
        self.counts: NDArray[np.int64] = np.zeros((len(MODES), len(SIGHTS)), dtype=np.int64)

    def see(self, seen: Seen, mended: Mended) -> None:
        """Take a visit: what was not looked at keeps its last sight, what was mended is sound."""
        for column, mode in enumerate(MODES):
            sights = [_sight(seen, reading) for reading in _LOOKED_AT[mode]]
            if sights:
                new = np.max(sights, axis=0)
                self._last[seen.fans, column] = np.where(
                    new > 0, new, self._last[seen.fans, column]
                )

        for what, modes in _MENDS.items():
            fans = seen.fans[mended.done[what]]
            for mode in modes:
                self._last[fans, MODES.index(mode)] = SIGHTS.index("sound")

    def fail(self, failed: NDArray[np.bool_]) -> None:
        """Count what fails this week, shape (fans, modes)."""
        fans, modes = np.nonzero(failed)
        np.add.at(self.counts, (modes, self._last[fans, modes]), 1)


def _sight(seen: Seen, reading: str) -> NDArray[np.int64]:
    value = getattr(seen, reading)
    level = np.searchsorted(_STEPS.get(reading, _GRADES), value, side="right")
    return np.where(np.isnan(value), 0, 1 + level)
