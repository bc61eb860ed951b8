"""Whether one position fails ever more often: Laplace's test and the power-law process."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaincinv, ndtr, ndtri

from schedules.engine.errors import SeriesError
from schedules.engine.failures.counts import exposed
from schedules.engine.series import Floats, Ints, as_floats, in_open_unit

FEWEST_TO_JUDGE = 6
"""Under so many failures an interval is shown and no verdict is given."""


@dataclass(frozen=True)
class Laplace:
    """Shape of ``end``; above 0 failures crowd towards the end, NaN where none tells.

    ``p_two_sided`` by the normal distribution, which serves from about four failures.
    """

    statistic: Floats
    p_two_sided: Floats
    failures: Ints


@dataclass(frozen=True)
class PowerLaw:
    """Expected failures by t are scale * t ^ shape.  Every field has the shape of ``end``.

    shape : above 1 they come ever faster; greatest likelihood, biased upwards when they are few
    shape_unbiased : the same put right for that
    shape_lower, shape_upper : exact two-sided limits
    scale : that of ``shape`` [1 / time ^ shape]
    mtbf_at_end : mean time between failures at the end of watching, by ``shape``
    mtbf_at_end_unbiased : by ``shape_unbiased``, with limits ``mtbf_lower`` and ``mtbf_upper``
    """

    failures: Ints
    shape: Floats
    shape_unbiased: Floats
    shape_lower: Floats
    shape_upper: Floats
    scale: Floats
    mtbf_at_end: Floats
    mtbf_at_end_unbiased: Floats
    mtbf_lower: Floats
    mtbf_upper: Floats


def laplace(times: ArrayLike, end: ArrayLike, failure_terminated: bool = False) -> Laplace:
    """How far the middle of the failures lies from the middle of the time watched, in its SDs.

    times : shape (..., K), NaN where there are fewer, in any order, from the start of watching
    end : shape (...), when watching ended
    failure_terminated : it ended with the last failure, which is then no failure within it

    Source: Cox and Lewis (1966), The Statistical Analysis of Series of Events.  Raises SeriesError
    for times before 0 or after the end.
    """
    at, until = _within(times, end)
    if failure_terminated:
        at = _without_last(at)
    count = np.count_nonzero(~np.isnan(at), axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.nansum(at - until[..., None] / 2, axis=-1)
        statistic = np.where(count > 0, off / (until * np.sqrt(count / 12)), np.nan)
    return Laplace(statistic, 2 * ndtr(-np.abs(statistic)), count)


def power_law(
    times: ArrayLike, end: ArrayLike, failure_terminated: bool = False, level: float = 0.95
) -> PowerLaw:
    """Fit a power-law process to one position's failures by greatest likelihood.

    times, end, failure_terminated : as of ``laplace``
    level : two-sided, in (0, 1)

    Too few failures that tell (two, or one before the last where that ended watching), one at the
    very beginning or all at the very end leave all NaN.  The limits of the shape rest on 2 n shape
    over its estimate being chi-square with 2n degrees (2n - 2 where the last failure ended it).
    Sources: Crow (1974), Reliability analysis for complex repairable systems; unbiased values and
    limits of the mean time between failures: NIST/SEMATECH e-Handbook 8.4.5.2, the last failure
    held as the end where it was.
    """
    at, until = _within(times, end)
    tail = (1 - in_open_unit("level", level)) / 2
    count = np.count_nonzero(~np.isnan(at), axis=-1)
    telling = np.maximum(count - 1, 0) if failure_terminated else count
    few = telling < (1 if failure_terminated else 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.nansum(np.log(until[..., None] / at), axis=-1)
        logs = np.where(few | np.isinf(logs) | (logs == 0), np.nan, logs)
        shape, unbiased = count / logs, (telling - 1) / logs
        mtbf = until / (count * unbiased)
        lower, upper = _factors(telling, float(-ndtri(tail)))
        return PowerLaw(
            failures=count,
            shape=shape,
            shape_unbiased=unbiased,
            shape_lower=gammaincinv(np.maximum(telling, 1), tail) / logs,
            shape_upper=gammaincinv(np.maximum(telling, 1), 1 - tail) / logs,
            scale=count / until**shape,
            mtbf_at_end=until / (count * shape),
            mtbf_at_end_unbiased=mtbf,
            mtbf_lower=mtbf * lower,
            mtbf_upper=mtbf * upper,
        )


def _factors(telling: Ints, z: float) -> tuple[Floats, Floats]:
    n = np.maximum(telling, 1)
    lower = n * (n - 1) / (n + z**2 / 4 + np.sqrt(n * z**2 / 2 + z**4 / 16)) ** 2
    room = n - z * np.sqrt(n / 2)
    return lower, np.where(room > 0, n * (n - 1) / room**2, np.inf)


def _within(times: ArrayLike, end: ArrayLike) -> tuple[Floats, Floats]:
    at, until = as_floats("times", times), exposed("end", end)
    if bool(np.any((at < 0) | (at > until[..., None]))):
        raise SeriesError(f"times {times!r} do not all lie from 0 to the end, {end!r}")
    return at, until


def _without_last(at: Floats) -> Floats:
    if not at.shape[-1]:
        return at
    ordered = np.sort(at, axis=-1)
    last = np.count_nonzero(~np.isnan(at), axis=-1)[..., None] - 1
    return np.asarray(np.where(np.arange(at.shape[-1]) == last, np.nan, ordered))


class ShapeKnown(Protocol):
    """A power law's shape with its limits, and of how many failures."""

    @property
    def failures(self) -> Ints:
        """How many were counted."""

    @property
    def shape_lower(self) -> Floats:
        """Lower limit of the shape; NaN where it cannot be told."""

    @property
    def shape_upper(self) -> Floats:
        """Upper limit of the shape; NaN where it cannot be told."""


def course(fit: ShapeKnown) -> list[str]:
    """What the limits of the shape say, in flat order.

    ``too_few`` failures to say, ``faster`` or ``slower`` where the limits leave 1 out,
    ``not_shown`` where they hold it.
    """
    few = (np.ravel(fit.failures) < FEWEST_TO_JUDGE) | np.isnan(np.ravel(fit.shape_lower))
    told = np.select(
        [few, np.ravel(fit.shape_lower) > 1, np.ravel(fit.shape_upper) < 1],
        ["too_few", "faster", "slower"],
        "not_shown",
    )
    return [str(each) for each in told]
