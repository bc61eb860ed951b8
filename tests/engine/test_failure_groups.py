"""Groups of fans held against all others, against scipy's tests and the single fan's functions."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from schedules.engine import laplace, power_law
from schedules.engine.errors import SeriesError
from schedules.engine.failures.groups import (
    Grouped,
    GroupLosses,
    Spells,
    courses,
    held_against_others,
)


def held(group: Any, spells: Any, fan_class: Any = 0, item: Any = 0, fan: Any = None) -> Grouped:
    """Losses by group, class and item; ``spells`` are rows of group, class and years."""
    group = np.asarray(group)
    columns = [np.broadcast_to(each, group.shape).astype(np.int64) for each in (item, fan_class)]
    fan = np.arange(len(group)) if fan is None else np.asarray(fan)
    losses = GroupLosses(group, columns[0], columns[1], fan, np.full(len(group), 0.5))
    of_group, of_class, years = (np.array(each) for each in zip(*spells, strict=True))
    return held_against_others(losses, Spells(of_group, of_class, years.astype(np.float64)))


# scipy.stats.binomtest and false_discovery_control (Benjamini and Hochberg, 1995).
def test_groups_of_one_class_then_as_scipys_binomial_and_false_discovery() -> None:
    years, failures = [20, 35, 50, 95], [9, 2, 6, 3]
    found = held(np.repeat(range(4), failures), [(n, 0, y) for n, y in enumerate(years)])
    p = [
        stats.binomtest(n, sum(failures), y / sum(years), alternative="greater").pvalue
        for n, y in zip(failures, years, strict=True)
    ]
    assert list(found.failures) == failures
    np.testing.assert_allclose(found.chance, p)
    np.testing.assert_allclose(found.discovery, stats.false_discovery_control(p))
    assert list(found.stands_out) == [True, False, False, False]


def test_limits_of_a_group_then_of_scipys_exact_share() -> None:
    found = held([0] * 9 + [1] * 6, [(0, 0, 20.0), (1, 0, 80.0)])
    exact = stats.binomtest(9, 15).proportion_ci(0.95, method="exact")
    odds = [each / (1 - each) * 80 / 20 for each in (9 / 15, exact.low, exact.high)]
    assert (found.ratio[0], found.lower[0], found.upper[0]) == pytest.approx(odds)


def test_groups_of_two_classes_then_time_is_weighed_by_how_often_each_fails() -> None:
    # class 0 fails 10 times in 100 years, class 1 30 times; 40 and 10 years of each are the first's
    spells = [(0, 0, 40), (1, 0, 60), (0, 1, 10), (1, 1, 90)]
    group = np.repeat([0, 1, 0, 1], [4, 6, 3, 27])
    found = held(group, spells, fan_class=np.repeat([0, 1], [10, 30]))
    expected = 40 * 0.1 + 10 * 0.3
    p = stats.binomtest(7, 40, expected / 40, alternative="greater").pvalue
    assert (found.ratio[0], found.chance[0]) == pytest.approx((1.0, p))


def test_class_that_is_one_groups_alone_then_nothing_is_compared() -> None:
    found = held([0, 0, 0, 1, 1], [(0, 0, 5), (1, 1, 50)], fan_class=[0, 0, 0, 1, 1])
    told = (list(found.compared), list(found.others_years), list(found.chance))
    assert told == ([0, 0], [0, 0], [1, 1])


def test_fans_of_no_group_then_among_the_others() -> None:
    found = held([0, 0, -1], [(0, 0, 5), (-1, 0, 50)])
    assert (list(found.group), list(found.others), list(found.others_years)) == ([0], [1], [50])


def test_many_failures_of_one_fan_then_its_group_does_not_stand_out() -> None:
    spells = [(0, 0, 5), (1, 0, 500)]
    told = [held([0] * 6 + [1], spells, fan=fan) for fan in ([0] * 6 + [7], range(7))]
    assert [bool(each.stands_out[0]) for each in told] == [False, True]


def test_pairs_tested_then_those_without_a_failure_count_too() -> None:
    alone = held([0, 0, 0], [(0, 0, 5), (1, 0, 500)])
    among = held([0, 0, 0], [(0, 0, 5), *((n, 0, 5) for n in range(1, 101))])
    assert [each.discovery[0] / each.chance[0] for each in (alone, among)] == pytest.approx(
        [2, 101]
    )


def test_loss_in_a_class_that_nobody_watched_then_refused() -> None:
    with pytest.raises(SeriesError, match="nobody watched"):
        held([0], [(0, 0, 5)], fan_class=[1])


# NIST/SEMATECH e-Handbook 8.4.5: for one system, the functions that hold its published example.
def test_course_of_one_fan_then_as_power_law_and_laplace_have_it() -> None:
    times = np.array([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478])
    found, end = courses(np.zeros(10, np.int64), times / 1500, 1), [1500.0]
    fit = power_law([times], end)
    one = (fit.shape_unbiased, fit.shape_lower, fit.shape_upper, laplace([times], end).p_two_sided)
    names = ("shape", "shape_lower", "shape_upper", "p")
    np.testing.assert_allclose([getattr(found, name) for name in names], one)
