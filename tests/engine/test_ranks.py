"""Kendall's test against Mann and Kendall's formulas, scipy's exact null, and every order tried."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from schedules.engine import mann_kendall
from schedules.engine.errors import SeriesError
from schedules.engine.ranks import increasing_p, rises
from tests.engine.given import case
from tests.oracle.vibration_trend import kendall_p

NAN = float("nan")
SHORT = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=6)
LONG = st.permutations(range(20)).flatmap(
    lambda order: st.integers(2, 20).map(lambda count: list(order[:count]))
)


# TR-05: S, Var(S) = n(n-1)(2n+5)/18, Z with continuity, exact p = 2/n! on Sen's strictly rising y.
@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("s", "S"),
        ("var_s", "var_S"),
        ("z", "Z_continuity"),
        ("p_two_sided_normal", "p_two_sided_normal"),
        ("p_two_sided", "p_two_sided_exact"),
        ("tau", "tau"),
    ],
)
def test_mann_kendall_on_sens_data_then_given_values(field: str, name: str) -> None:
    inputs, expected = case("TR-05")
    found = mann_kendall(range(7), inputs["y"])
    assert getattr(found, field) == pytest.approx(expected[name], rel=1e-12)


@given(LONG, st.sampled_from(["greater", "less", "two-sided"]))
def test_mann_kendall_without_ties_then_as_scipy_exact(y: list[int], side: str) -> None:
    found = mann_kendall(range(len(y)), y)
    ours = {"greater": found.p_increasing, "less": found.p_decreasing}.get(side, found.p_two_sided)
    reference = stats.kendalltau(range(len(y)), y, method="exact", alternative=side)
    assert ours == pytest.approx(reference.pvalue)


def every_order(x: list[int], y: list[int]) -> np.ndarray:
    """S of every order of y."""
    first, second = np.triu_indices(len(x), 1)
    orders = np.array(list(permutations(y)))
    rise = np.sign(orders[:, second] - orders[:, first])
    return np.asarray((np.sign(np.subtract.outer(x, x))[second, first] * rise).sum(axis=1))


@settings(max_examples=60)
@given(SHORT)
def test_mann_kendall_with_any_ties_then_as_every_order_tried(
    points: list[tuple[int, int]],
) -> None:
    x, y = [a for a, _ in points], [b for _, b in points]
    found, null = mann_kendall(x, y), every_order(x, y)
    assert (found.p_increasing, found.p_decreasing, found.p_two_sided) == pytest.approx(
        ((null >= found.s).mean(), (null <= found.s).mean(), (abs(null) >= abs(found.s)).mean())
    )


@settings(max_examples=60)
@given(SHORT)
def test_mann_kendall_variance_with_any_ties_then_that_of_every_order(
    points: list[tuple[int, int]],
) -> None:
    x, y = [a for a, _ in points], [b for _, b in points]
    assert mann_kendall(x, y).var_s == pytest.approx(every_order(x, y).var())


# Six readings, three low before three high: 1 order in 20 is as steep, and 0.05 is "at most 0.05".
def test_mann_kendall_when_one_order_in_twenty_then_exactly_a_twentieth() -> None:
    assert mann_kendall(range(6), [1, 1, 1, 2, 2, 2]).p_increasing == 0.05


def test_mann_kendall_with_ties_on_both_sides_and_twelve_readings_then_exact() -> None:
    x = [1, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 10]
    assert mann_kendall(x, [5, 5, 1, 2, 3, 4, 6, 7, 8, 9, 9, 11]).method == "exact"


# The oracle deals out readings one by one.
@pytest.mark.parametrize(
    ("x", "y"),
    [
        ([0, 1, 1, 2, 3, 4, 5, 6, 7], [3, 1, 2, 2, 5, 4, 4, 6, 7]),
        ([n // 2 for n in range(9)], [1, 2, 2, 1, 3, 4, 4, 5, 3]),
        ([n - n // 3 for n in range(9)], [2, 1, 3, 3, 4, 3, 5, 5, 6]),
    ],
)
def test_mann_kendall_with_ties_on_both_sides_then_as_the_oracle(
    x: list[int], y: list[int]
) -> None:
    assert mann_kendall(x, y).p_increasing == float(kendall_p(x, [float(n) for n in y]))


def test_mann_kendall_of_many_readings_then_normal_as_scipy_asymptotic() -> None:
    y = np.sin(np.arange(200)) + np.arange(200) / 400
    found = mann_kendall(range(200), y)
    reference = stats.kendalltau(range(200), y, method="asymptotic")
    assert (found.method, found.tau) == ("normal", pytest.approx(reference.statistic))


def test_mann_kendall_of_many_readings_then_normal_p_near_the_permutation_limit() -> None:
    y = np.sin(np.arange(200)) + np.arange(200) / 400
    found = mann_kendall(range(200), y)
    assert found.p_increasing == pytest.approx(stats.norm.sf(found.z))


@pytest.mark.parametrize("y", [[], [3.0], [3.0, 3.0, 3.0], [NAN, 3.0, NAN]])
def test_mann_kendall_with_nothing_to_compare_then_p_is_one(y: list[float]) -> None:
    found = mann_kendall(np.arange(len(y)), y)
    assert (found.p_increasing, found.p_two_sided, found.s) == (1.0, 1.0, 0)


ROWS = st.lists(
    st.lists(st.one_of(st.just(NAN), st.integers(0, 6).map(float)), min_size=12, max_size=12),
    min_size=1,
    max_size=6,
)


@given(ROWS)
def test_increasing_p_in_a_batch_then_as_each_alone(rows: list[list[float]]) -> None:
    days = np.tile(np.arange(12.0), (len(rows), 1))
    alone = [mann_kendall(range(12), row).p_increasing for row in rows]
    np.testing.assert_array_equal(increasing_p(days, rows), alone)


def test_increasing_p_when_two_readings_on_a_day_then_as_alone() -> None:
    x, y = [1.0, 2.0, 2.0, 5.0, 7.0], [1.0, 3.0, 2.0, 3.0, 6.0]
    assert increasing_p([x, x], [y, y])[1] == mann_kendall(x, y).p_increasing


def test_increasing_p_of_wide_rows_then_as_alone() -> None:
    y = np.round(np.sin(np.arange(30.0)) + np.arange(30) / 10, 1)
    found = increasing_p(np.arange(30.0)[None], y[None])
    assert found[0] == mann_kendall(range(30), y).p_increasing


def test_increasing_p_when_days_go_back_then_error() -> None:
    with pytest.raises(SeriesError, match="goes back"):
        increasing_p([[1.0, NAN, 0.5]], [[1.0, 2.0, 3.0]])


def test_mann_kendall_of_several_series_then_error_says_one() -> None:
    with pytest.raises(SeriesError, match="one series"):
        mann_kendall([[1, 2]], [[1, 2]])


# The definition of a permutation test: the share of all orders with an s at least as large.
@settings(max_examples=60)
@given(SHORT, st.sampled_from([0.05, 0.2, 0.5]))
def test_rise_of_one_series_then_as_all_orders_tell(
    pairs: list[tuple[int, int]], largest_p: float
) -> None:
    x, y = map(list, zip(*sorted(pairs), strict=True))
    told = every_order(x, y)
    assert rises(x, y, largest_p) == (np.mean(told >= told[0]) <= largest_p)
