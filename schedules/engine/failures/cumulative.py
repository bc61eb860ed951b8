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
    z = -float(ndtri((1 - in_open_unit("level", level)) / 2))
    told = [_in_order(each) for each in histories]
    failed = np.concatenate([each[:-1] for each in told]) if told else np.empty(0)
    ages = np.unique(failed)
    ends = np.array([each[-1] for each in told])
    watched = ages <= ends[:, None]
    # failures of each history at each age
    here = np.zeros((len(told), len(ages)))
    for row, each in zip(here, told, strict=True):
        np.add.at(row, np.searchsorted(ages, each[:-1]), 1)
    at_risk = watched.sum(axis=0)
    rate = here.sum(axis=0) / at_risk
    mean = np.cumsum(rate)
    off = np.cumsum(np.where(watched, here - rate, 0.0) / at_risk, axis=1)
    se = np.sqrt(np.square(off).sum(axis=0))
    with np.errstate(over="ignore"):
        stretch = np.exp(z * np.where(at_risk.max(initial=0) > 1, se, np.inf) / mean)
    return MeanCumulative(ages, at_risk, mean, mean / stretch, mean * stretch)


def _in_order(history: ArrayLike) -> Floats:
    ages = as_floats("a history", history)
    if ages.ndim != 1 or not len(ages) or not bool(np.all(np.diff(ages, prepend=0.0) >= 0)):
        raise SeriesError(
            f"a history is {history!r}; give ages in order from 0, the end of it last"
        )
    return ages
