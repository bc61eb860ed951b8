"""What waiting costs, by hand: gamma-Poisson odds times hours times money."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from schedules.engine.errors import ParameterError
from schedules.engine.waiting import (
    Odds,
    WaitingParams,
    chance_of_failure,
    cost_of_waiting,
    rounded_out,
)

QUARTER_WEEKS = 365.25 / 4 / 7


# By hand: shape 1, scale 1 / 0.3 = 3.3333 years, a quarter of a year ahead.
# Expected 1 - 3.3333 / 3.5833 = 0.069767.  The rate is exponential with mean 0.3, so its tenths are
# -0.3 ln 0.9 = 0.031608 and -0.3 ln 0.1 = 0.690776; 1 - exp(-rate / 4) = 0.007871 and 0.158605.
def test_chance_with_nothing_on_record_then_the_prior_s() -> None:
    found = [float(each) for each in chance_of_failure(0, 0, QUARTER_WEEKS)]
    assert found == pytest.approx([0.007871, 0.069767, 0.158605], abs=1e-6)


# By hand: two failures in two years: shape 3 over 5.3333 years; a year ahead
# 1 - (5.3333 / 6.3333)^3 = 1 - 0.842105^3 = 1 - 0.597172 = 0.402828.
def test_chance_after_two_failures_in_two_years_then_by_hand() -> None:
    assert chance_of_failure(2, 2, 365.25 / 7)[1] == pytest.approx(0.402828, abs=1e-6)


# The gamma-Poisson predictive is negative binomial (scipy.stats.nbinom, an independent code).
@pytest.mark.parametrize(("failures", "years", "weeks"), [(0, 1, 4), (3, 2, 10), (9, 5, 52)])
def test_chance_then_scipy_s_negative_binomial_of_none(
    failures: int, years: float, weeks: float
) -> None:
    seen, ahead = years + 1 / 0.3, weeks * 7 / 365.25
    none = stats.nbinom.pmf(0, failures + 1, seen / (seen + ahead))
    assert chance_of_failure(failures, years, weeks)[1] == pytest.approx(1 - none, rel=1e-12)


# By hand, of a law of shape 100 about 0.18 a year after two failures in 1.5 years: by shape 1 the
# rate is gamma of shape 3 over 1 / 0.18 + 1.5 = 7.0556 years, whose upper tenth is 5.3223 / 7.0556
# = 0.75435 (5.3223 from tables of chi-squared with 6 degrees, 10.6446 / 2); a year: 1 - exp(-rate).
def test_range_when_the_class_is_held_alike_then_it_allows_for_fans_that_differ() -> None:
    alike = Odds(shape=100.0, mean_a_year=0.18)
    _low, expected, high = chance_of_failure(2, 1.5, 365.25 / 7, odds=alike)
    assert high == pytest.approx(0.52968, abs=1e-4)
    assert expected == pytest.approx(0.1672, abs=1e-4)


def test_range_when_the_class_is_known_to_differ_then_its_own_law_s() -> None:
    own = WaitingParams(prior_shape=0.5, prior_failures_a_year=0.18)
    given = chance_of_failure(2, 1.5, 10, odds=Odds(shape=0.5, mean_a_year=0.18))
    assert given == chance_of_failure(2, 1.5, 10, own)


# By hand: 0.069767 x 0.6 x 8 h x 500 = 167.44; ends 18.89 and 380.65.
def test_cost_then_chance_times_share_times_hours_times_price() -> None:
    found = cost_of_waiting(0, 0, QUARTER_WEEKS)
    told = [float(found.low), float(found.expected), float(found.high)]
    assert told == pytest.approx([18.89, 167.44, 380.65], abs=0.01)


def test_cost_of_many_fans_then_each_as_alone() -> None:
    failures, years, weeks = [0, 2, 5], [1.0, 2.0, 3.5], [4.0, 8.0, 0.0]
    together = cost_of_waiting(failures, years, weeks).expected
    alone = [cost_of_waiting(*each).expected for each in zip(failures, years, weeks, strict=True)]
    assert np.array_equal(together, alone)


def test_cost_of_no_wait_then_nothing() -> None:
    assert cost_of_waiting(4, 1, 0).high == 0


@pytest.mark.parametrize("more", ["failures", "weeks"])
def test_cost_when_more_of_it_then_higher(more: str) -> None:
    given = {"failures": 1, "years": 2, "weeks": 4}
    assert cost_of_waiting(**{**given, more: 6}).high > cost_of_waiting(**given).high


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        ((18.89, 380.65), (10, 400)),
        ((0, 0), (0, 0)),
        ((0.4, 0.6), (0, 1)),
        ((1000, 2000), (1000, 2000)),
        ((1234.5, 9876), (1000, 10000)),
        ((0.3, 0.1 * 3), (0, 1)),
    ],
)
def test_range_then_one_figure_outwards(ends: tuple[float, float], told: tuple[int, int]) -> None:
    assert rounded_out(*ends) == told


@pytest.mark.parametrize("change", [{"preventable_share": 1.1}, {"closed_hours": -1}])
def test_params_when_out_of_their_interval_then_refused(change: dict[str, float]) -> None:
    with pytest.raises(ParameterError, match="expected a number in"):
        WaitingParams().overridden(change)
