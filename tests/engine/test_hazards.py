"""How much oftener fans fail with something open, and the share a visit could have prevented."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from schedules.engine.failures.hazards import (
    STATES,
    HazardParams,
    Spans,
    hazard_factors,
    preventable_share,
)

NOTHING, WATCH_STATE, ACT_STATE = 0, 1, 2


def spans(*rows: tuple[int, int, float, int]) -> Spans:
    fan, state, years, failures = zip(*rows, strict=True)
    return Spans(np.array(fan), np.array(state), np.array(years), np.array(failures))


# By hand: 2 fans, law of shape 1 and mean 0.5 (2 years before).  Fan 0: 8 years with nothing open,
# 2 failures; 2 years at act, 4 failures: own rate (1 + 6) / (2 + 10) = 7/12.  Fan 1: 8 years with
# nothing open, no failure: rate 1/10.  Expected with nothing 8 x 7/12 + 8 x 1/10 = 5.466667, at act
# 2 x 7/12 = 1.166667, in all 6.633333; seen in all 6, so 4.944724 and 1.055276.  Nothing:
# (5 + 2) / (5 / 1 + 4.944724) = 0.703891.
def test_factors_then_seen_over_expected_by_hand_drawn_towards_our_choice() -> None:
    told = spans((0, NOTHING, 8, 2), (0, ACT_STATE, 2, 4), (1, NOTHING, 8, 0))
    few = HazardParams().overridden({"least_total": 6, "least_failures": 4.5})
    found = hazard_factors(told, [1, 1], [0.5, 0.5], few)
    assert not hazard_factors(told, [1, 1], [0.5, 0.5]).is_learned.any()
    assert found.of[[NOTHING, ACT_STATE]] == pytest.approx([4.944724, 1.055276], abs=1e-6)
    assert found.figure[NOTHING] == pytest.approx(0.703891, abs=1e-6)
    assert (found.is_learned[ACT_STATE], found.figure[ACT_STATE]) == (False, 3.0)
    assert found.figure[WATCH_STATE] == HazardParams().watch


# Limits: scipy.stats.chi2, half a quantile at 2n and 2n + 2 degrees (Garwood 1936).
def test_limits_then_scipy_s_chi_square_over_what_was_expected() -> None:
    told = spans((0, NOTHING, 40, 7), (0, ACT_STATE, 10, 9))
    found = hazard_factors(told, [1], [0.3])
    expected = 16 * np.array([0.8, 0.2])
    low = stats.chi2.ppf(0.025, [14, 18]) / 2 / expected
    high = stats.chi2.ppf(0.975, [16, 20]) / 2 / expected
    states = [NOTHING, ACT_STATE]
    assert found.lower[states] == pytest.approx(low)
    assert found.upper[states] == pytest.approx(high)
    assert np.isnan(found.upper[WATCH_STATE])


# A fleet drawn with known factors: 3,000 fans, Poisson failures (numpy), the true ones 1 and 4.
# All expected come to all seen, so that what is told is each factor over their mean.
def test_factors_when_the_fleet_was_drawn_with_known_ones_then_found() -> None:
    rng = np.random.default_rng(5)
    fan = np.repeat(np.arange(3000), 2)
    state = np.tile([NOTHING, ACT_STATE], 3000)
    years = np.tile([1.5, 0.5], 3000)
    failures = rng.poisson(0.3 * years * np.where(state == ACT_STATE, 4.0, 1.0))
    told = Spans(fan, state, years, failures)
    found = hazard_factors(told, np.full(3000, 100), np.full(3000, 0.525))
    ratio = found.figure[ACT_STATE] / found.figure[NOTHING]
    assert ratio == pytest.approx(4.0, rel=0.1)


def test_nothing_on_record_then_our_choices() -> None:
    empty = Spans(*(np.zeros(0, int) for _ in range(4)))
    found = hazard_factors(empty, np.zeros(0), np.zeros(0))
    assert found.figure.tolist() == HazardParams().factors.tolist()
    assert not found.is_learned.any()
    assert len(found.seen) == len(STATES)


# By hand: 20 of 40 told, drawn towards 0.6 as ten failures: (6 + 20) / 50; 20 of 29 are too few.
@pytest.mark.parametrize(("told", "figure", "learned"), [(40, 0.52, True), (29, 0.6, False)])
def test_share_then_by_hand_or_our_choice(told: int, figure: float, learned: bool) -> None:
    found = preventable_share(20, told)
    assert (found.figure[0], found.is_learned[0]) == (pytest.approx(figure), learned)


# The exact limits of 20 of 40 are those of scipy.stats.binomtest (Clopper and Pearson).
def test_share_then_scipy_s_exact_limits() -> None:
    found, known = preventable_share(20, 40), stats.binomtest(20, 40).proportion_ci(method="exact")
    assert [found.lower[0], found.upper[0]] == pytest.approx([known.low, known.high])
