"""Where a rule's date comes to lie: past time out of service, not before the onboarding day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from schedules.engine import onboarding
from schedules.engine.parameters import DueParams
from schedules.engine.restart import Away
from schedules.engine.rule import Columns, Days


@dataclass(frozen=True)
class Placing:
    """Moves candidate dates of one block; satisfies ``rule.Place``."""

    away: Away
    until: Days
    grace_days: int

    @staticmethod
    def of(columns: Columns, params: DueParams) -> Placing:
        """For the fans of these histories."""
        until = onboarding.held_until(columns)
        return Placing(Away.of(columns), until, params.onboarding.grace_days)

    def __call__(
        self,
        due_day: Days,
        overdue_day: Days,
        fact_day: Days | None,
        stop: NDArray[np.bool_] | None = None,
        fan: NDArray[np.intp] | None = None,
    ) -> tuple[Days, Days]:
        """Move dates; time away touches them only with a ``fact_day``."""
        if fact_day is not None:
            due_day, overdue_day = self.away.move(due_day, overdue_day, fact_day, fan)
        until = self.until if fan is None else self.until[fan]
        return onboarding.hold(due_day, overdue_day, until, self.grace_days, stop)
