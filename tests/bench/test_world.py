"""The simulated fleet against closed forms: Poisson counts, Weibull lives, accelerated wear."""

from __future__ import annotations

from dataclasses import replace
from math import gamma

import numpy as np
import pytest
from scipy import stats

from schedules.bench.world import assumptions, luck, visiting, weeks

pytestmark = pytest.mark.once
YEARS = 3
WEEKS = 52 * YEARS
FANS = 300
SEED = 11
# A world in which nothing happens of itself; each test lets one thing happen.
STILL = replace(
    assumptions.Assumptions(),
    start_imbalance_mm_s=1e-9, imbalance_drift_mm_s=0.0, grease_shake_mm_s=0.0,
    bearing_shake_mm_s=0.0, shock_rate=0.0, bad_tip_hinged=0.0, bad_tip_loose=0.0,
    vents_block=0.0, corrosion_inland=0.0, corrosion_coastal=0.0, bearing_life=1e6, belt_life=1e6,
    cable_life=1e6, motor_by_heat=0.0, lasting_fault_rate=0.0, passing_fault_rate=0.0,
    from_nowhere=0.0, start_used=0.0, dry_factor=0.0,
)  # fmt: skip


@pytest.fixture(scope="module")
def drawn() -> luck.Luck:
    return luck.drawn(SEED, FANS, WEEKS)


def failures(a: assumptions.Assumptions, drawn: luck.Luck) -> np.ndarray:
    """Failures by mode of fans nobody visits."""
    world, count = weeks.World.begins(a, drawn), np.zeros(len(luck.MODES))
    for week in range(drawn.shape[1]):
        weeks.happen(world, week)
        weeks.wear(world)
        failed = weeks.failing(world, week)
        weeks.repair_failed(world, failed)
        count += failed.sum(axis=0)
    return count


def test_world_when_nothing_happens_then_nothing_fails(drawn: luck.Luck) -> None:
    assert failures(STILL, drawn).sum() == 0


@pytest.mark.parametrize("rate", [0.08, 0.5])
def test_hazard_when_constant_then_count_is_poisson(drawn: luck.Luck, rate: float) -> None:
    count = failures(replace(STILL, from_nowhere=rate), drawn)[luck.MODES.index("nowhere")]
    low, high = stats.poisson.interval(0.999, rate * FANS * YEARS)
    assert low <= count <= high


@pytest.mark.parametrize("shape", [1.0, 3.5])
def test_bearings_when_wear_is_even_then_mean_life_is_the_weibull_mean(
    drawn: luck.Luck, shape: float
) -> None:
    """Mean scale x gamma(1 + 1/shape), Abernethy, The New Weibull Handbook (from memory)."""
    still = replace(STILL, bearing_life=10.0, bearing_shape=shape)
    world = weeks.World.begins(still, drawn)
    lives = weeks.lives(still, drawn, world.state.part)[:, weeks.BEARING]
    error = stats.weibull_min.std(shape, scale=10) / np.sqrt(FANS)
    assert lives.mean() == pytest.approx(10 * gamma(1 + 1 / shape), abs=3.3 * error)


def test_bearings_when_renewed_for_long_then_one_failure_a_mean_life(drawn: luck.Luck) -> None:
    """Renewal function m(t) ~ t/mean + (cv2 - 1)/2 (the elementary theorem's second term)."""
    still = replace(STILL, bearing_life=0.5, bearing_shape=2.5)
    mean = 0.5 * gamma(1.4) + 0.5 / 52  # a failure is seen at the end of its week
    squared = (stats.weibull_min.std(2.5, scale=0.5) / mean) ** 2
    expected = FANS * (YEARS / mean + (squared - 1) / 2)
    count = failures(still, drawn)[weeks.BEARING]
    assert count == pytest.approx(expected, abs=3.3 * np.sqrt(FANS * YEARS / mean * squared))


def test_bearings_when_shaken_at_the_halving_vibration_then_wear_doubles(drawn: luck.Luck) -> None:
    world = weeks.World.begins(STILL, drawn)
    world.state.imbalance[:] = STILL.bearing_half_mm_s
    weeks.wear(world)
    assert world.state.damage[:, weeks.BEARING] == pytest.approx(2 / 52)


def test_switches_when_shaking_doubles_then_hazard_is_eightfold(drawn: luck.Luck) -> None:
    world, rates = weeks.World.begins(STILL, drawn), []
    for shaking in (5.0, 10.0):
        world.state.imbalance[:] = shaking
        world.state.corrosion[:] = 0
        rates.append(weeks.sudden_rates(world)[:, 0])
    assert rates[1] / rates[0] == pytest.approx(8)


def test_luck_when_more_fans_are_drawn_then_the_first_have_the_same(drawn: luck.Luck) -> None:
    few = luck.drawn(SEED, 3, WEEKS)
    assert np.array_equal(few.sudden, drawn.sudden[:3])


def test_assumptions_when_a_share_grows_past_one_then_it_is_one() -> None:
    assert assumptions.Assumptions().times("hinged_share", 1.5).hinged_share == 1


def test_assumptions_when_negative_then_refused() -> None:
    with pytest.raises(ValueError, match="bearing_life is -1"):
        replace(STILL, bearing_life=-1)


def test_assumptions_when_listed_then_each_has_a_standing() -> None:
    assert all(assumptions.standings().values())


def test_perfect_knowledge_when_it_visits_then_only_failures_from_nowhere_remain(
    drawn: luck.Luck,
) -> None:
    world = weeks.World.begins(assumptions.WORLDS["rough"], drawn)
    left = np.zeros(len(luck.MODES))
    for week in range(30):
        weeks.happen(world, week)
        weeks.wear(world)
        left += visiting.mend_what_would_fail(world, week)[1].sum(axis=0)
    assert left[:-1].sum() == 0 < left[-1]


def test_visit_when_made_each_week_then_worn_belts_are_renewed(drawn: luck.Luck) -> None:
    world = weeks.World.begins(assumptions.WORLDS["calm"], drawn)
    world.state.damage[:, weeks.BELT] = 0.97 * world.state.life[:, weeks.BELT]
    fans = np.arange(FANS)
    seen = visiting.look(world, 0, fans)
    visiting.mend(world, 0, seen)
    renewed = world.state.part[:, weeks.BELT] == 1
    assert np.array_equal(renewed, seen.belt >= visiting.PLAIN)
