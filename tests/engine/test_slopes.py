"""Theil-Sen against Sen's own example, scipy, and pair couples counted one by one."""

from __future__ import annotations

from itertools import combinations
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from schedules.engine import theil_sen
from schedules.engine.errors import SeriesError
from tests.engine.given import case

NAN = float("nan")
SERIES = st.lists(
    st.tuples(st.integers(0, 400), st.floats(0, 20, width=16)),
    min_size=2,
    max_size=12,
    unique_by=lambda point: point[0],
)


# TR-04, Sen (1968): 21 slopes, median 4, limits 26/7 and 35/8 at level 0.93.
@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("slope", "slope"),
        ("lower", "lower"),
        ("upper", "upper"),
        ("pairs", "n_pairwise_slopes"),
        ("intercept", "intercept_median_of_residuals"),
    ],
)
def test_theil_sen_on_sens_example_then_published_values(field: str, name: str) -> None:
    inputs, expected = case("TR-04")
    found = theil_sen(inputs["x"], inputs["y"], inputs["confidence"])
    assert getattr(found, field) == pytest.approx(expected[name], abs=1e-12)


@given(SERIES, st.sampled_from([0.5, 0.8, 0.95]))
def test_theil_sen_without_ties_then_as_scipy(
    series: list[tuple[int, float]], level: float
) -> None:
    x = [day for day, _ in series]
    # scipy narrows its limits for ties in y, the rule does not: keep y distinct.
    y = [value + i * 1e-4 for i, (_, value) in enumerate(series)]
    if len(set(y)) < len(y):
        return
    found, reference = theil_sen(x, y, level), stats.theilslopes(y, x, level)
    assert (found.slope, found.lower, found.upper) == pytest.approx(
        tuple(reference)[:1] + tuple(reference)[2:]
    )


def couples_upper(x: list[int], y: list[float], level: float, apart: int) -> float:
    """Upper rank limit with every couple of kept pairs looked at."""
    pairs = [p for p in combinations(range(len(x)), 2) if x[p[1]] - x[p[0]] >= apart]
    variance = float(len(pairs))
    for (a, b), (c, d) in combinations(pairs, 2):
        variance += 2 / 3 * ((a == c) + (b == d) - (a == d) - (b == c))
    slopes = sorted((y[b] - y[a]) / (x[b] - x[a]) for a, b in pairs)
    reach = stats.norm.ppf((1 + level) / 2) * sqrt(variance)
    return slopes[min(round((len(pairs) + reach) / 2) + 1, len(pairs)) - 1]


@given(SERIES)
def test_theil_sen_with_near_pairs_left_out_then_couples_counted(
    series: list[tuple[int, float]],
) -> None:
    ordered = sorted(series)
    x, y = [day for day, _ in ordered], [value for _, value in ordered]
    found = theil_sen(x, y, 0.8, min_separation=14)
    if found.pairs == 0:
        assert np.isnan(found.upper)
    else:
        assert found.upper == pytest.approx(couples_upper(x, y, 0.8, 14))


@given(st.lists(SERIES, min_size=1, max_size=5))
def test_theil_sen_in_a_batch_then_as_each_alone(batch: list[list[tuple[int, float]]]) -> None:
    x, y = np.full((2, len(batch), 12), NAN)
    for row, series in enumerate(batch):
        x[row, : len(series)], y[row, : len(series)] = np.transpose(series)
    together = theil_sen(x, y, 0.8, 14)
    alone = [theil_sen(*np.transpose(series), 0.8, 14).upper for series in batch]
    np.testing.assert_array_equal(together.upper, alone)


def test_theil_sen_when_order_of_readings_changes_then_same() -> None:
    x, y = np.array([1, 5, 30, 44, 61]), np.array([2.0, 2.5, 2.2, 3.4, 3.9])
    order = [3, 0, 4, 2, 1]
    assert theil_sen(x[order], y[order], 0.8, 14) == theil_sen(x, y, 0.8, 14)


def test_theil_sen_when_one_day_read_twice_then_that_pair_is_no_slope() -> None:
    found = theil_sen([0, 0, 10], [1.0, 3.0, 6.0])
    assert (found.pairs, found.slope) == (2, pytest.approx(0.4))


def test_theil_sen_of_one_reading_then_cannot_tell() -> None:
    found = theil_sen([5.0], [1.0])
    assert (found.pairs, bool(np.isnan(found.slope))) == (0, True)


def test_theil_sen_beyond_one_block_then_rows_stay_in_place() -> None:
    slope = np.arange(5000.0)
    found = theil_sen(np.tile([0.0, 1.0, 2.0], (5000, 1)), slope[:, None] * [0.0, 1.0, 2.0])
    np.testing.assert_array_equal(found.slope, slope)


def test_theil_sen_when_infinite_then_error() -> None:
    with pytest.raises(SeriesError, match="infinite"):
        theil_sen([1, float("inf")], [1, 2])
