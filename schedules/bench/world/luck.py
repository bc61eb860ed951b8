"""All the luck of a run, drawn beforehand: one stream per purpose and fan."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WEAR_MODES = ("bearing", "belt", "cable")
SUDDEN_MODES = ("switch", "wheel", "motor", "nowhere")
MODES = WEAR_MODES + SUDDEN_MODES

READINGS = ("vibration", "felt", "bearing", "belt", "slack", "cable", "corrosion", "supply",
            "vents", "box", "grease", "hinge")  # fmt: skip
ASKED = ("balance", "bearing", "cable", "switch", "supply", "hinge", "hinge_kit")
PARTS_IN_A_RUN = 24
WEEKS_OF_AN_ANSWER = 26


@dataclass(frozen=True)
class Luck:
    """Uniform draws from 0 to 1 (`noise`: normal ones); first axis fans, second mostly weeks."""

    kind: Floats
    start: Floats
    owner: Floats
    cleaning: Floats
    shock: Floats
    supply: Floats
    sudden: Floats
    lives: Floats
    noise: Floats
    missing: Floats
    unwritten: Floats
    answers: Floats
    telling: Floats
    calls: Floats

    @property
    def shape(self) -> tuple[int, int]:
        """Fans and weeks."""
        return self.sudden.shape[0], self.sudden.shape[1]


def drawn(seed: int, fans: int, weeks: int) -> Luck:
    """The luck of `fans` fans; that of the first does not depend on how many there are."""
    blocks = weeks // WEEKS_OF_AN_ANSWER + 1
    shapes: dict[str, tuple[int, ...]] = {
        "kind": (16,),
        "start": (16,),
        "owner": (1,),
        "cleaning": (weeks, 5),
        "shock": (weeks, 2),
        "supply": (weeks, 5),
        "sudden": (weeks, len(SUDDEN_MODES)),
        "lives": (len(WEAR_MODES), PARTS_IN_A_RUN),
        "noise": (weeks, len(READINGS)),
        "missing": (weeks, len(READINGS)),
        "unwritten": (weeks, len(READINGS)),
        "answers": (blocks, len(ASKED)),
        "telling": (weeks, 2),
        "calls": (weeks, 2),
    }
    return Luck(
        **{
            purpose: _streams(seed, number, fans, shape, normal=purpose == "noise")
            for number, (purpose, shape) in enumerate(shapes.items())
        }
    )


def _streams(seed: int, purpose: int, fans: int, shape: tuple[int, ...], *, normal: bool) -> Floats:
    made = np.empty((fans, *shape))
    for fan in range(fans):
        stream = np.random.default_rng([seed, purpose, fan])
        made[fan] = stream.standard_normal(shape) if normal else stream.random(shape)
    return made
