"""Rates, their limits and comparisons against published values, R and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from schedules.engine import compare_rates, mtbf_interval, rate_interval
from schedules.engine.errors import ParameterError, SeriesError
from schedules.engine.failures.rates import share_interval
from tests.engine.given import case


# RE-07, NIST/SEMATECH e-Handbook 8.4.5.1: 2 failures in 800 h, 400 h, 127 to 2251.
def test_mtbf_interval_on_handbook_example_then_published_limits() -> None:
    inputs, expected = case("RE-07")
    found = mtbf_interval(inputs["failures"], inputs["total_hours"], 0.9)
    assert (found.mtbf_h, found.lower_h, found.upper_h) == pytest.approx(
        (expected["MTBF"], expected["lower"], expected["upper"])
    )


def test_mtbf_interval_when_nothing_failed_then_at_least_so_long() -> None:
    found = mtbf_interval(0, 1000, 0.9)
    # the chance of none in 1000 h is exp(-1000 / mtbf); 5 % at the limit
    assert (found.mtbf_h, found.lower_h, found.upper_h) == pytest.approx(
        (np.inf, 1000 / -np.log(0.05), np.inf)
    )


def test_mtbf_interval_when_last_failure_ended_it_then_lower_limit_is_higher() -> None:
    # chi-square 0.95 with 4 degrees is 9.488 in any table: 1600 / 9.488
    assert mtbf_interval(2, 800, 0.9, failure_terminated=True).lower_h == pytest.approx(
        168.63, 1e-4
    )


# Garwood's limits for 0, 1 and 10 counted: 3.689, (0.0253, 5.572), (4.795, 18.39), as in tables of
# Poisson limits everywhere (from memory).
@pytest.mark.parametrize(
    ("events", "lower", "upper"), [(0, 0.0, 3.689), (1, 0.0253, 5.572), (10, 4.795, 18.39)]
)
def test_rate_interval_of_counts_then_garwoods_limits(
    events: int, lower: float, upper: float
) -> None:
    found = rate_interval(events, 1.0)
    assert (found.lower, found.upper) == pytest.approx((lower, upper), rel=2e-3)


@pytest.mark.parametrize("name", ["RE-19", "RE-21"])
def test_compare_rates_on_cases_then_as_r(name: str) -> None:
    inputs, expected = case(name)
    (n_1, n_2), (time_1, time_2) = inputs["events"], inputs["exposure"]
    found = compare_rates(n_1, time_1, n_2, time_2)
    assert (found.ratio, found.p_two_sided, found.lower, found.upper) == pytest.approx(
        (expected["rate_ratio"], expected["p_two_sided"], *expected["ci95"])
    )


@given(st.integers(0, 40), st.integers(0, 400), st.sampled_from([0.5, 0.1, 0.02, 2 / 3]))
def test_compare_rates_of_any_counts_then_as_scipys_binomial(
    n_1: int, n_2: int, share: float
) -> None:
    found = compare_rates(n_1, share, n_2, 1 - share)
    if n_1 + n_2 == 0:
        assert (found.p_two_sided, found.lower, found.upper) == (1.0, 0.0, np.inf)
        return
    two = stats.binomtest(n_1, n_1 + n_2, share).pvalue
    more = stats.binomtest(n_1, n_1 + n_2, share, alternative="greater").pvalue
    assert (found.p_two_sided, found.p_greater) == pytest.approx((two, more), rel=1e-6)


def test_compare_rates_of_many_then_as_each_alone() -> None:
    n_1, n_2 = np.array([0, 3, 11, 0]), np.array([4, 0, 21, 0])
    together = compare_rates(n_1, 800, n_2, 3011).p_two_sided
    assert list(together) == [
        compare_rates(a, 800, b, 3011).p_two_sided for a, b in zip(n_1, n_2, strict=True)
    ]


@pytest.mark.parametrize(
    ("events", "exposure", "told"), [(-1, 1, "-1"), (0.5, 1, "0.5"), (1, 0, "above 0")]
)
def test_rate_interval_of_what_cannot_be_then_error(
    events: float, exposure: float, told: str
) -> None:
    with pytest.raises(SeriesError, match=told):
        rate_interval(events, exposure)


def test_rate_interval_at_level_of_one_then_error() -> None:
    with pytest.raises(ParameterError, match="level"):
        rate_interval(1, 1, 1.0)


@given(st.integers(0, 40), st.integers(0, 40), st.sampled_from([0.8, 0.95]))
def test_share_interval_then_as_scipy_has_it(events: int, more: int, level: float) -> None:
    trials = events + more
    found = share_interval(events, trials, level)
    if not trials:
        assert (np.isnan(found.share), found.lower, found.upper) == (True, 0, 1)
        return
    exact = stats.binomtest(events, trials).proportion_ci(level, method="exact")
    assert (found.lower, found.upper) == pytest.approx((exact.low, exact.high))


def test_share_interval_of_more_than_were_tried_then_refused() -> None:
    with pytest.raises(SeriesError, match="more than the trials"):
        share_interval(3, 2)
