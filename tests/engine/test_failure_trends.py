"""Laplace's test and the power-law process against published examples and tables."""

from __future__ import annotations

import numpy as np
import pytest

from schedules.engine import laplace, power_law
from schedules.engine.errors import SeriesError
from tests.engine.given import case

NAN = float("nan")


# RE-04, Crow (1990) system 1: U = -2.6121.
def test_laplace_on_published_system_then_its_statistic() -> None:
    inputs, expected = case("RE-04")
    found = laplace(inputs["failure_times"], inputs["T"])
    assert found.statistic == pytest.approx(expected["U"])


# RE-01, NIST/SEMATECH e-Handbook 8.2.2.3 and 8.4.5.2, watched to a time set beforehand.
def test_power_law_on_handbook_case_then_published_values() -> None:
    inputs, expected = case("RE-01")
    found = power_law(inputs["failure_times"], inputs["T"], level=0.8)
    assert (
        found.shape, found.shape_unbiased, found.mtbf_at_end_unbiased,
        found.mtbf_lower, found.mtbf_upper,
    ) == pytest.approx(
        (
            expected["b_raw_mle"], expected["b_corrected"], expected["MTBF_at_T"],
            *expected["MTBF_80pct_interval"],
        )
    )  # fmt: skip


# RE-03, 22 failures in 620 h, the last of which ended the test: 0.6142 and 0.4239.
def test_power_law_ended_by_a_failure_then_published_values() -> None:
    inputs, expected = case("RE-03")
    times = inputs["failure_times"]
    found = power_law(times, times[-1], failure_terminated=True)
    assert (found.shape, found.scale, found.shape_unbiased, found.mtbf_at_end) == pytest.approx(
        (
            expected["beta_mle"], expected["lambda_mle"], expected["beta_unbiased"],
            expected["MTBF_instantaneous"],
        )
    )  # fmt: skip


def test_power_law_of_ten_failures_then_shape_limits_by_chi_square_table() -> None:
    inputs, expected = case("RE-01")
    found = power_law(inputs["failure_times"], inputs["T"])
    # 20 degrees, 2.5 % and 97.5 %: 9.591 and 34.170 in any table of chi-square
    shape = expected["b_raw_mle"] / 20
    assert (found.shape_lower, found.shape_upper) == pytest.approx(
        (shape * 9.591, shape * 34.170), rel=1e-4
    )


@pytest.mark.parametrize(
    ("times", "failure_terminated"),
    [
        ([], False),  # none
        ([40.0], False),  # one
        ([100.0], True),  # the last alone
        ([100.0, 100.0], False),  # all on the last day
        ([0.0, 50.0], False),  # one as watching began
    ],
)
def test_power_law_when_too_little_tells_then_cannot_tell(
    times: list[float], failure_terminated: bool
) -> None:
    found = power_law(times, 100.0, failure_terminated)
    assert np.isnan([found.shape, found.shape_lower, found.shape_upper, found.mtbf_lower]).all()


def test_power_law_of_two_failures_then_limits_are_wide() -> None:
    found = power_law([30.0, 60.0], 100.0)
    assert found.shape_lower < 0.5 < 1.0 < found.shape_upper < found.mtbf_upper


def test_laplace_when_last_failure_ended_it_then_it_is_the_end() -> None:
    assert laplace([60, 20, 40], 60, failure_terminated=True) == laplace([20, 40], 60)


def test_laplace_of_positions_together_then_as_each_alone() -> None:
    times = np.array([[10.0, 80.0, NAN], [50.0, 90.0, 95.0], [NAN, NAN, NAN]])
    together = laplace(times, [100.0, 100.0, 200.0])
    alone = [laplace([10.0, 80.0], 100.0).statistic, laplace(times[1], 100.0).statistic, NAN]
    np.testing.assert_array_equal(together.statistic, alone)


def test_laplace_of_failure_after_the_end_then_error() -> None:
    with pytest.raises(SeriesError, match="from 0 to the end, 50"):
        laplace([60.0], 50.0)
