"""The numbers by which walk-throughs that do not happen are told of."""

from __future__ import annotations

from dataclasses import dataclass

from schedules.engine.settable import Group, number


@dataclass(frozen=True)
class DoneParams(Group):
    """All our choice until a company enters its own."""

    no_access_in_a_row: int = number(2, "times before a site counts as without a way up", (2, 20))
    looked_back_days: int = number(365, "d of which words on a fan are still counted", (28, 3660))
    weeks_shown: int = number(13, "weeks", (1, 53))


DEFAULT_DONE = DoneParams()
