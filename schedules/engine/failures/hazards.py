"""What stands open on a fan and how much oftener such fans fail; what a visit could have prevented.

Learned from a fleet in closed form: failures seen in a state against those that were to be expected
were the state of no account, drawn towards a default as far as they are few.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.failures.rates import rate_interval, share_interval
from schedules.engine.series import Flags, Floats, Ints
from schedules.engine.settable import Group, number

STATES = ("nothing", "watch", "act", "shaking_watch", "shaking_act")
"""What is worst on a fan; shaking where its vibration is.  A fan at *stop* is in none."""


@dataclass(frozen=True)
class HazardParams(Group):
    """All our choice: factors and share until a fleet's own record says otherwise."""

    nothing: float = number(1.0, "", (0.01, 100))
    watch: float = number(1.5, "", (0.01, 100))
    act: float = number(3.0, "", (0.01, 100))
    shaking_watch: float = number(2.0, "", (0.01, 100))
    shaking_act: float = number(4.0, "", (0.01, 100))
    weight: float = number(5.0, "failures", (0.1, 1000))
    least_failures: float = number(5.0, "failures seen or expected", (0, 1000))
    least_total: int = number(10, "failures seen in all", (0, 100_000))
    look_days: int = number(120, "d", (7, 1000))
    share: float = number(0.6, "", (0.01, 1))
    share_weight: float = number(10.0, "failures", (0.1, 1000))
    least_lives: int = number(10, "machines replaced", (2, 10_000))
    share_least: int = number(30, "failures", (1, 10_000))

    @property
    def factors(self) -> Floats:
        """Defaults in the order of ``STATES``."""
        return np.array([getattr(self, name) for name in STATES], float)


DEFAULT_HAZARDS = HazardParams()


@dataclass(frozen=True)
class Spans:
    """Time under watch, shape (spans,): from looks to the next, or as long as they count.

    fan : its place among the fans, from 0; state : place in ``STATES``; years; failures within
    """

    fan: Ints
    state: Ints
    years: Floats
    failures: Ints


@dataclass(frozen=True)
class Learned:
    """Shape (figures,).

    seen, of : failures in a state and those expected; of the share, told and preventable
    figure : drawn towards the default where that is few; the default itself where ``is_learned`` is
        False
    lower, upper : exact limits of seen over expected alone, 95 %
    """

    seen: Floats
    of: Floats
    figure: Floats
    lower: Floats
    upper: Floats
    is_learned: Flags


def hazard_factors(
    spans: Spans, shape: ArrayLike, mean_a_year: ArrayLike, params: HazardParams = DEFAULT_HAZARDS
) -> Learned:
    """How many times as often fans fail in each of ``STATES``; shape (states,).

    shape, mean_a_year : the gamma law of each fan's class, shape (fans,)

    Expected is time in the state times the fan's own rate, the posterior mean over all its spans:
    it holds the fan's failures in any state, so that fans which fail often for other reasons make
    no factor, and factors rather fall short.  All expected come to all seen, so that a law which
    does not fit makes none either (indirect standardisation).  Limits are Garwood's
    (``rate_interval``); the figure is (weight + seen) / (weight / default + expected), the
    posterior mean under a gamma prior.
    """
    prior = np.asarray(shape, float)
    fans = len(prior)
    own = np.bincount(spans.fan, spans.failures, fans)
    watched = np.bincount(spans.fan, spans.years, fans)
    rate = (prior + own) / (prior / np.asarray(mean_a_year, float) + watched)
    seen = np.bincount(spans.state, spans.failures, len(STATES)).astype(float)
    expected = np.bincount(spans.state, spans.years * rate[spans.fan], len(STATES)).astype(float)
    default = params.factors
    if seen.sum() > 0:
        expected *= seen.sum() / expected.sum()
    enough = seen.sum() >= params.least_total
    learned = enough & (np.maximum(seen, expected) >= params.least_failures)
    found = (params.weight + seen) / (params.weight / default + expected)
    interval = rate_interval(seen, np.where(expected > 0, expected, np.nan))
    return Learned(
        seen, expected, np.where(learned, found, default), interval.lower, interval.upper,
        learned,
    )  # fmt: skip


def preventable_share(
    preventable: int, told: int, params: HazardParams = DEFAULT_HAZARDS
) -> Learned:
    """Share of failures that a walk-through would have seen coming; shape (1,).

    ``told`` are failures of which enough is on record to say so.  Limits are Clopper and Pearson's
    (``share_interval``); the figure is the posterior mean under a beta prior of the default, worth
    ``share_weight`` failures.
    """
    learned = told >= params.share_least
    found = (params.share_weight * params.share + preventable) / (params.share_weight + told)
    interval = share_interval([preventable], [told])
    return Learned(
        np.array([float(preventable)]), np.array([float(told)]),
        np.array([found if learned else params.share]), interval.lower, interval.upper,
        np.array([learned]),
    )  # fmt: skip
