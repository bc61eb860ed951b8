"""Many tests at once: how many of those that are believed may be false."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from schedules.engine.errors import SeriesError
from schedules.engine.series import Floats, as_floats


def false_discovery(p: ArrayLike, tests: int | None = None) -> Floats:
    """Adjusted chances: believing all at most q leaves on average a share q of them false.

    p : shape (K,), each in [0, 1]
    tests : how many there were in all, those not given having shown nothing (p = 1); left out: K
    returns shape (K,), in the order given

    Source: Benjamini and Hochberg (1995) J. Royal Statistical Society B 57, 289-300.  Raises
    SeriesError for chances that are missing or outside [0, 1], and for fewer tests than chances.
    """
    chances = as_floats("p", p)
    if not bool(np.all((chances >= 0) & (chances <= 1))):
        raise SeriesError(f"p is {p!r}; chances lie from 0 to 1 and none may be missing")
    count = len(chances) if tests is None else tests
    if count < len(chances):
        raise SeriesError(f"tests is {tests}, fewer than the {len(chances)} chances given")
    order = np.argsort(chances)
    raised = chances[order] * count / np.arange(1, len(chances) + 1)
    adjusted = np.empty_like(chances)
    adjusted[order] = np.minimum(np.minimum.accumulate(raised[::-1])[::-1], 1.0)
    return adjusted
