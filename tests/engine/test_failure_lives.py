"""Lives, cumulative counts, pooled rates and ages of replacement against published examples."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy import optimize, stats

from schedules.engine import age_replacement, gamma_poisson, mean_cumulative_function, weibull
from schedules.engine.errors import SeriesError
from schedules.engine.failures.cumulative import MeanCumulative
from tests.engine.given import case

# Ten pumps of a nuclear plant: failures and thousands of hours, Gaver and O'Muircheartaigh (1987)
# Technometrics 29, 1-15, table of section 3.
PUMP_FAILURES = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22]
PUMP_HOURS = [94.320, 15.720, 62.880, 125.760, 5.240, 31.440, 1.048, 1.048, 2.096, 10.480]


def lives_of(name: str) -> tuple[list[float], list[bool], dict[str, Any]]:
    inputs, expected = case(name)
    failures, going = inputs["failures"], inputs["right_censored"]
    return failures + going, [True] * len(failures) + [False] * len(going), expected


# RE-10, NIST/SEMATECH e-Handbook 8.4.1.2; RE-13, doi:10.1080/00224065.1997.11979730.
@pytest.mark.parametrize("name", ["RE-10", "RE-13"])
def test_weibull_on_censored_lives_then_published_values(name: str) -> None:
    times, failed, expected = lives_of(name)
    found = weibull(times, failed)
    assert (found.shape, found.scale, found.log_likelihood) == pytest.approx(
        (expected["shape"], expected["scale"], expected["log_likelihood"]), rel=1e-6
    )


def test_weibull_limits_then_where_scipys_likelihood_falls_by_the_ratio() -> None:
    times, failed, expected = lives_of("RE-13")
    found = weibull(times, failed)
    ended, going = np.array(times)[failed], np.array(times)[~np.array(failed)]

    def profile(shape: float) -> float:
        def cost(log_scale: float) -> float:
            law = stats.weibull_min(shape, scale=np.exp(log_scale))
            return -float(law.logpdf(ended).sum() + law.logsf(going).sum())

        return -float(optimize.minimize_scalar(cost, bounds=(2, 7), method="bounded").fun)

    # half of chi-square 0.95 with one degree, 3.841
    drops = [
        expected["log_likelihood"] - profile(k) for k in (found.shape_lower, found.shape_upper)
    ]
    assert drops == pytest.approx([3.841 / 2] * 2, rel=1e-3)


def test_weibull_when_nothing_failed_then_lives_are_at_least_so_long() -> None:
    found = weibull([400, 600], [False, False])
    # exp(-1000 / scale) = 5 %
    assert (found.shape_lower, found.shape_upper, found.scale_lower) == pytest.approx(
        (0.0, np.inf, 1000 / -np.log(0.05))
    )


def test_weibull_when_all_failed_on_the_last_day_then_anything_may_be() -> None:
    found = weibull([300, 500, 500], [False, True, True])
    assert np.isnan(found.shape)
    assert (found.shape_lower, found.shape_upper) == (0.0, np.inf)


def test_weibull_of_one_failure_then_limits_hold_it_widely() -> None:
    found = weibull([300, 500, 500], [True, False, False])
    assert found.shape_lower < 0.5 < found.shape < 5 < found.shape_upper


# RE-14, five systems, an example of the package reliability 0.9.0.
def test_mean_cumulative_function_of_five_systems_then_as_published() -> None:
    inputs, expected = case("RE-14")
    found = mean_cumulative_function(inputs["systems"])
    assert (list(found.ages), list(found.at_risk)) == (expected["times"], expected["at_risk"])
    np.testing.assert_allclose(found.mean, expected["mcf"], rtol=1e-12)


def test_mean_cumulative_function_while_all_are_watched_then_limits_of_a_mean_of_counts() -> None:
    inputs, _ = case("RE-14")
    found = mean_cumulative_function(inputs["systems"])
    # by age 15 the five have failed 3, 2, 1, 2 and 0 times; all are watched until 17
    counts = np.array([3, 2, 1, 2, 0])
    se = counts.std() / np.sqrt(5)
    at = list(found.ages).index(15)
    assert found.upper[at] == pytest.approx(counts.mean() * np.exp(1.959964 * se / counts.mean()))


# Lawless and Nadeau (1995), their robust variance written out fan by fan.
def test_mean_cumulative_function_when_watched_unequally_then_limits_as_written_out() -> None:
    histories = [[3, 8, 8, 12], [1, 4, 5], [9], [2, 8, 20], [8, 15], [6, 6, 6]]
    found = mean_cumulative_function(histories)
    of_fan = []
    for *failed, end in histories:
        own = [(failed.count(age) - rate) * (age <= end) for age, rate in _rates(found)]
        of_fan.append(np.cumsum(np.array(own) / found.at_risk))
    se = np.sqrt(np.square(of_fan).sum(axis=0))
    np.testing.assert_allclose(found.upper, found.mean * np.exp(1.959964 * se / found.mean))


def _rates(found: MeanCumulative) -> list[tuple[float, float]]:
    return list(zip(found.ages, np.diff(found.mean, prepend=0), strict=True))


def test_mean_cumulative_function_when_nothing_failed_then_empty() -> None:
    assert mean_cumulative_function([[10.0], [12.0]]).mean.shape == (0,)


def test_mean_cumulative_function_of_one_fan_then_limits_tell_nothing() -> None:
    found = mean_cumulative_function([[10.0, 10.0, 10.0]])
    assert (list(found.mean), list(found.lower), list(found.upper)) == ([2.0], [0.0], [np.inf])


# statsmodels 0.15.0, NegativeBinomial of the pumps with their hours as exposure: 1 / alpha
# 0.8222686, mean exp(const) 0.6531361.
def test_gamma_poisson_on_ten_pumps_then_as_statsmodels() -> None:
    found = gamma_poisson(PUMP_FAILURES, PUMP_HOURS)
    assert (found.prior_shape, found.prior_mean) == pytest.approx((0.8222686, 0.6531361), rel=1e-6)


# Posterior means of the same ten as the fully Bayesian treatment gives them (Pumps, BUGS examples
# volume 1, from memory): 0.0598, 0.102, 0.0893, 0.116, 0.602, 0.609, 0.89, 0.894, 1.58, 1.99.
def test_gamma_poisson_on_ten_pumps_then_near_those_of_full_bayes() -> None:
    found = gamma_poisson(PUMP_FAILURES, PUMP_HOURS)
    full = [0.0598, 0.102, 0.0893, 0.116, 0.602, 0.609, 0.89, 0.894, 1.58, 1.99]
    np.testing.assert_allclose(found.rate, full, rtol=0.13)


def test_gamma_poisson_when_fans_differ_by_chance_alone_then_prior_keeps_some_spread() -> None:
    found = gamma_poisson([1] * 50, [1.0] * 50)
    assert (found.prior_shape, found.prior_mean) == pytest.approx((100.0, 1.0))


def test_gamma_poisson_when_nothing_failed_then_error() -> None:
    with pytest.raises(SeriesError, match="give a prior"):
        gamma_poisson([0, 0], [3.0, 4.0])


# RE-16, Barlow and Proschan's condition; 493.0470 as published.
def test_age_replacement_on_published_example_then_its_age() -> None:
    inputs, expected = case("RE-16")
    found = age_replacement(**inputs)
    assert (found.age, found.cost_rate, found.cost_rate_run_to_failure) == pytest.approx(
        (expected["optimal_age"], expected["cost_rate"], expected["cost_rate_run_to_failure"])
    )


@pytest.mark.parametrize(
    ("shape", "cost_failure"),
    [
        (1.0, 5.0),  # no wear
        (0.7, 5.0),  # young failures
        (2.5, 1.0),  # a failure costs no more
        (1.05, 1.1),  # hardly either
    ],
)
def test_age_replacement_when_nothing_is_gained_then_run_to_failure(
    shape: float, cost_failure: float
) -> None:
    found = age_replacement(shape, 1000, 1, cost_failure)
    assert (found.age, found.cost_rate) == (np.inf, pytest.approx(found.cost_rate_run_to_failure))


def test_age_replacement_when_failures_cost_more_then_earlier() -> None:
    ages = age_replacement(2.5, 1000, 1, [1.5, 2, 5, 50, 1000]).age
    assert all(later < sooner for sooner, later in pairwise(ages))


def test_weibull_of_a_life_without_length_then_error() -> None:
    with pytest.raises(SeriesError, match="above 0"):
        weibull([0.0, 5.0], [True, True])
