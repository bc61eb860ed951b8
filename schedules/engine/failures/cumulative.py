"""Failures a fan has had by a given age, on average over fans watched for unequal times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from schedules.engine.errors import SeriesError
from schedules.engine.series import Floats, Ints, as_floats, in_open_unit


@dataclass(frozen=True)
class MeanCumulative:
    """Shape (ages,), one entry for each age at which something failed, rising.

    ``at_risk`` counts the histories that reach that age, ``mean`` is the failures a fan has had by
    then, with limits that hold at that age alone; 0 and infinity where one history says nothing of
    the scatter.
    """

    ages: Floats
    at_risk: Ints
    mean: Floats
    lower: Floats
    upper: Floats


def mean_cumulative_function(histories: Sequence[ArrayLike], level: float = 0.95) -> MeanCumulative:
    """Nelson's estimate of the mean cumulative number of failures, whatever makes them come.

    histories : one array each, shape (failures + 1,): the ages of its failures in order and, last,
        the age at which watching ended; a failure on that last day is the end's own value twice
    level : two-sided, in (0, 1)

    Limits: mean * exp(+-z * se / mean) with the variance of Lawless and Nadeau (1995)
    Technometrics 37, 158-168, which lets failures of one fan hang together.  Source of the mean:
    Nelson (1988) J. Quality Technology 20, 24-35.  Raises SeriesError for ages out of order, below
    0 or missing.
    """
    told = [_in_order(each) for each in histories]
    failed = np.concatenate([each[:-1] for each in told]) if told else np.empty(0)
    of = np.repeat(np.arange(len(told)), [len(each) - 1 for each in told])
    return mean_cumulative_of(failed, of, np.array([each[-1] for each in told]), level)


def mean_cumulative_of(
    failed_at: Floats, history: Ints, ends: Floats, level: float = 0.95
) -> MeanCumulative:
    """The same of a fleet as columns, in the time that sorting them takes.

    failed_at, history : shape (failures,), an age and whose it is, none after that one's end
    ends : shape (histories,)
    """
    z = -float(ndtri((1 - in_open_unit("level", level)) / 2))
    order = np.lexsort((failed_at, history))
    ages, at = np.unique(failed_at[order], return_inverse=True)
    at_risk = len(ends) - np.searchsorted(np.sort(ends), ages)
    rate = np.bincount(at, minlength=len(ages)) / at_risk
    mean = np.cumsum(rate)
    se = np.sqrt(_variance(at, history[order], ends, ages, at_risk, rate))
    with np.errstate(over="ignore"):
        stretch = np.exp(z * np.where(at_risk.max(initial=0) > 1, se, np.inf) / mean)
    return MeanCumulative(ages, at_risk, mean, mean / stretch, mean * stretch)


def _variance(
    at: Ints, history: Ints, ends: Floats, ages: Floats, at_risk: Ints, rate: Floats
) -> Floats:
    """Sum over histories of (own share of the mean - share of it that was to be expected) squared.

    at, history : each failure's place in ``ages`` and whose it is, ordered by history, then age
    """
    count = len(ages)
    expected = np.cumsum(rate / at_risk)
    over = np.searchsorted(ages, ends, side="right")
    at_end = np.append(0.0, expected)[over]
    weight: Floats = 1.0 / at_risk[at].astype(np.float64)
    own_at_end: Floats = np.bincount(history, weight, len(ends)).astype(np.float64)
    running = np.cumsum(weight)
    after = running - np.append(0.0, np.cumsum(own_at_end))[history]
    squared = _by_age(at, after**2 - (after - weight) ** 2, count)
    own: Floats = _by_age(at, weight, count) - _by_age(over, own_at_end, count)
    both = expected * own + _by_age(over, own_at_end * at_end, count)
    expected_squared = expected**2 * at_risk + _by_age(over, at_end**2, count)
    return np.maximum(squared - 2 * both + expected_squared, 0.0)


def _by_age(at: Ints, values: Floats, count: int) -> Floats:
    """Sums of values up to each age; what stands beyond the last counts nowhere."""
    return np.asarray(np.cumsum(np.bincount(at, values, count + 1)[:count]), np.float64)


def _in_order(history: ArrayLike) -> Floats:
    ages = as_floats("a history", history)
    if ages.ndim != 1 or not len(ages) or not bool(np.all(np.diff(ages, prepend=0.0) >= 0)):
        raise SeriesError(
            f"a history is {history!r}; give ages in order from 0, the end of it last"
        )
    return ages
