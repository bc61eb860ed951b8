"""How an invented fan ages: wear, dirt, knocks, grease and small faults, day by day from a seed.

Every rate here is our own invention, chosen so that a fleet looks like one; no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp
from random import Random

YEAR = 365.0

AGEING: dict[str, tuple[tuple[str, float], ...]] = {
    "motor_vents": (("dusty", 0.7), ("plugged", 0.4)),
    "hinge": (("loose", 0.12),),
    "catch": (("defeatable", 0.08),),
    "cable": (("stretched", 0.10), ("damaged", 0.2)),
    "switch_cover": (("loose", 0.2), ("open", 0.2)),
    "wheel": (("dirty", 0.8),),
    "grease_box": (("full", 1.6), ("overflowing", 0.8)),
    "curb": (("leaking", 0.10),),
    "noise": (("new", 0.12), ("grinding", 0.5)),
    "corrosion": (("surface", 0.10), ("deep", 0.03)),
    "belt": (("worn", 0.9), ("cracked", 0.8)),
    "sheaves": (("worn", 0.15),),
    "bearings": (("noisy", 0.12), ("rough", 0.4)),
}
"""Per item the states it passes through, each with how often a year it would be reached."""
BELT_ITEMS = frozenset({"belt", "sheaves", "bearings"})
GREASE_UM_A_DAY = {"solid fuel": 16.0, "high": 11.0, "moderate": 5.0, "low": 1.5}
SALT = 5.0
"""How much faster metal rusts by the sea."""


@dataclass(slots=True)
class FanLife:
    """One fan's true state; readings add the noise of meter and hand.

    ``shake_mm_s`` is the rms vibration of the clean, sound fan; dirt, wear and knocks add to it.
    ``states`` holds only what is not in order.
    """

    rng: Random
    belt: bool
    cooking: str
    coastal: bool
    day: int
    shake_mm_s: float = 0.0
    wear_mm_s_a_year: float = 0.0
    wear_mm_s: float = 0.0
    dirt_mm_s: float = 0.0
    grease_um: dict[str, float] = field(default_factory=dict)
    growth_um_a_day: dict[str, float] = field(default_factory=dict)
    states: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rng = self.rng
        self.shake_mm_s = min(rng.lognormvariate(0.45, 0.3), 3.5)
        failing = rng.random() < 0.07
        self.wear_mm_s_a_year = rng.uniform(2.0, 4.0) if failing else rng.uniform(0.0, 0.5)
        duct = GREASE_UM_A_DAY[self.cooking] * rng.lognormvariate(0.0, 0.3)
        self.growth_um_a_day = {"duct": duct, "housing": duct * rng.uniform(0.5, 0.9)}
        self.grease_um = {place: rng.uniform(50, 400) for place in self.growth_um_a_day}

    def live_until(self, day: int) -> None:
        """Let the days pass; asking for an earlier day changes nothing."""
        days = day - self.day
        if days <= 0:
            return
        self.day = day
        self.wear_mm_s += self.wear_mm_s_a_year * days / YEAR
        self.dirt_mm_s = min(self.dirt_mm_s + 0.005 * days * self.rng.random(), 1.2)
        for place, growth in self.growth_um_a_day.items():
            self.grease_um[place] += growth * days * self.rng.uniform(0.85, 1.15)
        for item in AGEING:
            if self.belt or item not in BELT_ITEMS:
                self._age(item, days)

    def _age(self, item: str, days: int) -> None:
        steps = AGEING[item]
        codes = [code for code, _ in steps]
        at = codes.index(self.states[item]) + 1 if item in self.states else 0
        if at == len(steps):
            return
        code, rate = steps[at]
        if item == "corrosion" and self.coastal:
            rate *= SALT
        if self.rng.random() < 1 - exp(-rate * days / YEAR):
            self.states[item] = code

    @property
    def true_mm_s(self) -> float:
        """Rms vibration at the motor."""
        return self.shake_mm_s + self.wear_mm_s + self.dirt_mm_s

    def read_mm_s(self) -> float:
        """What a meter shows."""
        return self.true_mm_s * self.rng.lognormvariate(0.0, 0.06)

    def felt(self) -> str:
        """What a hand says."""
        felt = self.true_mm_s * self.rng.lognormvariate(0.0, 0.1)
        return "none" if felt < 2.8 else "slight" if felt < 6.5 else "strong"

    def comb_um(self, place: str) -> tuple[int, int]:
        """Between which teeth of the comb the grease stands."""
        depth = self.grease_um[place] * self.rng.lognormvariate(0.0, 0.05)
        low = int(depth // 100) * 100
        return low, low + 100

    def mend(self, item: str) -> None:
        """Bring one item back in order."""
        self.states.pop(item, None)
        if item == "wheel":
            self.dirt_mm_s = 0.0

    def balance(self) -> None:
        """Balance the wheel: clean it, take the wear's shake away."""
        self.mend("wheel")
        self.wear_mm_s = 0.0

    def clean_places(self, places: list[str]) -> None:
        """The hood-cleaning crew leaves what the code allows on clean metal."""
        for place in places:
            if place in self.grease_um:
                self.grease_um[place] = self.rng.uniform(20, 50)

    def knock(self) -> None:
        """Tipping a fan sometimes bends what was straight."""
        self.wear_mm_s += self.rng.uniform(1.2, 3.0)
