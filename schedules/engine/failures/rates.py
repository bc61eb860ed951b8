"""Failures over time under watch: rates with exact limits, and two rates held against each other.

All of it takes failures to come at a steady rate, one regardless of the other (a Poisson process).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr, bdtrc, betaincinv, gammaincinv, gammaln, xlog1py, xlogy

from schedules.engine.errors import SeriesError
from schedules.engine.failures.counts import counted, exposed
from schedules.engine.series import Flags, Floats, in_open_unit

ALIKE = 1 + 1e-7
"""Outcomes this near in probability count as equally likely, whatever a float's last digits say."""


@dataclass(frozen=True)
class Rate:
    """Shape of the input [1 / unit of exposure]; ``lower`` is 0 where nothing failed."""

    rate: Floats
    lower: Floats
    upper: Floats


@dataclass(frozen=True)
class MeanTime:
    """Mean time between failures [h], shape of the input; infinite where nothing failed.

    ``lower`` is known even then: so long it is at least.
    """

    mtbf_h: Floats
    lower_h: Floats
    upper_h: Floats


@dataclass(frozen=True)
class Comparison:
    """Shape of the input.

    ratio : rate 1 over rate 2, with its exact limits; NaN where nothing failed on either side
    p_two_sided : chance of counts at least as unlikely as these were both rates one
    p_greater : chance of at least so many of all failures on side 1 were both rates one
    """

    ratio: Floats
    lower: Floats
    upper: Floats
    p_two_sided: Floats
    p_greater: Floats


def rate_interval(events: ArrayLike, exposure: ArrayLike, level: float = 0.95) -> Rate:
    """Events over exposure with the exact two-sided limits of a Poisson mean.

    events, exposure : broadcast together; exposure in any unit of time
    level : two-sided, in (0, 1)

    Source: Garwood (1936) Biometrika 28, 437-442: half a chi-square quantile, at 2n degrees below
    and 2n + 2 above.  Raises SeriesError for counts or times that cannot be, ParameterError for a
    bad level.
    """
    n, time = np.broadcast_arrays(counted("events", events), exposed("exposure", exposure))
    tail = (1 - in_open_unit("level", level)) / 2
    return Rate(n / time, _mean_at(n, tail) / time, _mean_at(n + 1, 1 - tail) / time)


def mtbf_interval(
    failures: ArrayLike, hours: ArrayLike, level: float = 0.95, failure_terminated: bool = False
) -> MeanTime:
    """Mean time between failures with its exact two-sided limits [h].

    failures, hours : broadcast together; hours in all, of all fans counted
    failure_terminated : watching ended with the last failure, which then tells less of the longest
        the mean may be; else at a time set beforehand

    Source: NIST/SEMATECH e-Handbook 8.4.5.1.
    """
    n, time = np.broadcast_arrays(counted("failures", failures), exposed("hours", hours))
    tail = (1 - in_open_unit("level", level)) / 2
    above = n if failure_terminated else n + 1
    with np.errstate(divide="ignore"):
        return MeanTime(
            time / n,
            # watching cannot have ended with a failure where there was none
            time / _mean_at(np.maximum(above, 1), 1 - tail),
            time / _mean_at(n, tail),
        )


def compare_rates(
    events_1: ArrayLike,
    exposure_1: ArrayLike,
    events_2: ArrayLike,
    exposure_2: ArrayLike,
    level: float = 0.95,
) -> Comparison:
    """Two rates compared exactly: given their sum, events 1 are binomial.

    All broadcast together.  The two-sided chance sums all outcomes no likelier than the one seen,
    the limits are Clopper and Pearson's of the share.  Source: Przyborowski and Wilenski (1940)
    Biometrika 31, 313-323.
    """
    n_1, time_1, n_2, time_2 = np.broadcast_arrays(
        counted("events_1", events_1), exposed("exposure_1", exposure_1),
        counted("events_2", events_2), exposed("exposure_2", exposure_2),
    )  # fmt: skip
    tail = (1 - in_open_unit("level", level)) / 2
    known = n_1 + n_2 > 0
    odds = time_2 / time_1
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.where(n_1 > 0, betaincinv(n_1, n_2 + 1, tail), 0.0)
        high = np.where(n_2 > 0, betaincinv(n_1 + 1, n_2, 1 - tail), 1.0)
        return Comparison(
            ratio=n_1 / n_2 * odds,
            lower=np.where(known, low / (1 - low) * odds, 0.0),
            upper=np.where(known, high / (1 - high) * odds, np.inf),
            p_two_sided=_no_likelier(n_1, n_1 + n_2, time_1 / (time_1 + time_2)),
            p_greater=_at_least(n_1, n_1 + n_2, time_1 / (time_1 + time_2)),
        )


@dataclass(frozen=True)
class Share:
    """Shape of the input, in [0, 1]; ``share`` is NaN where nothing was tried."""

    share: Floats
    lower: Floats
    upper: Floats


def share_interval(events: ArrayLike, trials: ArrayLike, level: float = 0.95) -> Share:
    """How many of so many, with exact two-sided limits.

    events, trials : broadcast together; level : two-sided, in (0, 1)

    Source: Clopper and Pearson (1934) Biometrika 26, 404-413.  Raises SeriesError for counts that
    cannot be, and for more events than trials.
    """
    n, of = np.broadcast_arrays(counted("events", events), counted("trials", trials))
    if bool(np.any(n > of)):
        raise SeriesError(f"events is {events!r}, more than the trials, {trials!r}")
    tail = (1 - in_open_unit("level", level)) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.where(n > 0, betaincinv(n, of - n + 1, tail), 0.0)
        high = np.where(of > n, betaincinv(n + 1, of - n, 1 - tail), 1.0)
        return Share(n / of, low, high)


def chance_of_as_many(
    events_1: ArrayLike, exposure_1: ArrayLike, events_2: ArrayLike, exposure_2: ArrayLike
) -> Floats:
    """``p_greater`` of ``compare_rates`` alone, for many pairs at once."""
    n_1, time_1, n_2, time_2 = np.broadcast_arrays(
        counted("events_1", events_1), exposed("exposure_1", exposure_1),
        counted("events_2", events_2), exposed("exposure_2", exposure_2),
    )  # fmt: skip
    return _at_least(n_1, n_1 + n_2, time_1 / (time_1 + time_2))


def _mean_at(shape: Floats, probability: float) -> Floats:
    """Quantile of a gamma of that shape; 0 for shape 0."""
    found = gammaincinv(np.where(shape > 0, shape, 1.0), probability)
    return np.asarray(np.where(shape > 0, found, 0.0))


def _at_least(seen: Floats, total: Floats, share: Floats) -> Floats:
    chance = bdtrc(np.maximum(seen - 1, 0), np.nan_to_num(total).astype(np.int64), share)
    return np.asarray(np.where(seen > 0, chance, 1.0))


def _no_likelier(seen: Floats, total: Floats, share: Floats) -> Floats:
    """Both tails of the binomial: probability falls on either side of its mode."""
    limit = _log_chance(seen, total, share) + np.log(ALIKE)
    mode = np.floor((total + 1) * share)
    first_high = _first(mode, total, lambda k: _log_chance(k, total, share) <= limit)
    first_low = _first(np.zeros_like(mode), mode, lambda k: _log_chance(k, total, share) > limit)
    whole = np.nan_to_num(total).astype(np.int64)
    below = np.where(first_low > 0, bdtr(np.maximum(first_low - 1, 0), whole, share), 0.0)
    chance = np.minimum(below + _at_least(first_high, total, share), 1.0)
    return np.asarray(np.where(first_high <= first_low, 1.0, chance))


def _first(low: Floats, high: Floats, holds: Callable[[Floats], Flags]) -> Floats:
    """The first whole number from low to high for which it holds, else high + 1; it then stays."""
    low, high = low.copy(), high + 1
    while bool(np.any(low < high)):
        middle = np.floor((low + high) / 2)
        found = holds(middle)
        low, high = np.where(~found & (low < high), middle + 1, low), np.where(found, middle, high)
    return low


def _log_chance(k: Floats, total: Floats, share: Floats) -> Floats:
    ways = gammaln(total + 1) - gammaln(k + 1) - gammaln(total - k + 1)
    return np.asarray(ways + xlogy(k, share) + xlog1py(total - k, -share))
