"""Which fans stand on the simulated roofs, and the state in which a run finds them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from .assumptions import CLASS_SHARES, CLEANED_EVERY_WEEKS, Assumptions
from .luck import WEAR_MODES, Floats, Luck

Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]

FANS_OF_AN_OWNER = 6
DUCT_LIMIT_UM = 2000.0
CLEANED_TO_UM = 50.0


@dataclass(frozen=True)
class Roofs:
    """What does not change in a run, by fan."""

    belt: Flags
    three_phase: Flags
    greased: Flags
    coastal: Flags
    cooking: Whole
    cleaned_every: Whole
    cleaned_first: Whole
    grease_um_week: Floats
    grease_unevenness: Floats
    drift: Floats
    declines: Floats
    rpm: Floats
    horsepower: Floats
    hours_a_day: Floats


@dataclass
class State:
    """What nobody sees, by fan; `damage`, `life` and `part` also by wearing part.

    `damage` and `life` are in years of wear at best; `part` counts renewals.
    """

    imbalance: Floats
    wheel_um: Floats
    vents: Floats
    box: Floats
    slack: Floats
    greased_weeks: Floats
    corrosion: Floats
    lasting: Floats
    passing: Floats
    passing_left: Floats
    hinge: Flags
    hinge_sound: Flags
    damage: Floats
    life: Floats
    part: Whole


def lognormal(median: float, spread: float, uniform: Floats) -> Floats:
    """Lognormal draws by inversion."""
    return np.asarray(median * np.exp(spread * ndtri(uniform)))


def weibull(scale: Floats | float, shape: Floats | float, uniform: Floats) -> Floats:
    """Weibull draws by inversion; their mean is scale x gamma(1 + 1/shape)."""
    return np.asarray(scale * (-np.log1p(-uniform)) ** (1 / np.asarray(shape)))


def built(a: Assumptions, luck: Luck) -> Roofs:
    """The fans of a run."""
    u = luck.kind
    fans = len(u)
    cooking = np.searchsorted(np.cumsum(CLASS_SHARES)[:-1], u[:, 4]).astype(np.int64)
    every = CLEANED_EVERY_WEEKS[cooking]
    owner = np.arange(fans) // FANS_OF_AN_OWNER
    belt = u[:, 0] < a.belt_share
    return Roofs(
        belt=belt,
        three_phase=u[:, 1] < a.three_phase_share,
        greased=belt & (u[:, 2] < a.greased_share_of_belt),
        coastal=u[:, 3] < a.coastal_share,
        cooking=cooking,
        cleaned_every=every,
        cleaned_first=(u[:, 5] * every).astype(np.int64),
        grease_um_week=lognormal(1.0, a.grease_spread, u[:, 6])
        * (a.grease_share_of_limit * DUCT_LIMIT_UM / every),
        grease_unevenness=2 * u[:, 7],
        drift=2 * u[:, 8] * a.imbalance_drift_mm_s / 52,
        declines=np.minimum(1.0, 2 * luck.owner[owner, 0] * a.declined_share),
        rpm=np.where(belt, 800 + 600 * u[:, 9], np.where(u[:, 10] < 0.6, 1140.0, 1750.0)),
        horsepower=np.array([0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0])[(7 * u[:, 11]).astype(int)],
        hours_a_day=10 + 8 * u[:, 12],
    )


def begun(a: Assumptions, roofs: Roofs, luck: Luck) -> State:
    """The state at the start: parts of any age, grease since some earlier cleaning."""
    u = luck.start
    fans = len(u)
    since = roofs.cleaned_every - roofs.cleaned_first
    part = np.zeros((fans, len(WEAR_MODES)), dtype=np.int64)
    life = lives(a, luck, part)
    return State(
        imbalance=lognormal(a.start_imbalance_mm_s, a.start_imbalance_spread, u[:, 0]),
        wheel_um=CLEANED_TO_UM + roofs.grease_um_week * since,
        vents=0.3 * u[:, 1],
        box=u[:, 2],
        slack=u[:, 3],
        greased_weeks=a.grease_lasts_weeks * u[:, 4],
        corrosion=np.minimum(1.0, 4 * u[:, 5] * _corroding(a, roofs)),
        lasting=np.where(
            u[:, 6] < a.lasting_fault_rate,
            lognormal(a.fault_unbalance_percent / 3, a.fault_spread, u[:, 7]),
            0.0,
        ),
        passing=np.zeros(fans),
        passing_left=np.zeros(fans),
        hinge=u[:, 8] < a.hinged_share,
        hinge_sound=u[:, 9] < 0.95,
        damage=a.start_used * u[:, 10:13] * life,
        life=life,
        part=part,
    )


def lives(a: Assumptions, luck: Luck, part: Whole) -> Floats:
    """The life of each fan's present part of each kind, in years of wear at best."""
    turn = part % luck.lives.shape[2]
    uniform = np.take_along_axis(luck.lives, turn[:, :, None], axis=2)[:, :, 0]
    scale = np.array([a.bearing_life, a.belt_life, a.cable_life])
    shape = np.array([a.bearing_shape, a.belt_shape, a.cable_shape])
    return weibull(scale, shape, uniform)


def corroding_a_week(a: Assumptions, roofs: Roofs) -> Floats:
    """How much corrosion a week adds, by fan."""
    return _corroding(a, roofs) / 52


def _corroding(a: Assumptions, roofs: Roofs) -> Floats:
    return np.where(roofs.coastal, a.corrosion_coastal, a.corrosion_inland)
