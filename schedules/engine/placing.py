"""Where a rule's date comes to lie: past time out of service, not before the onboarding day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from schedules.engine import onboarding, restart
from schedules.engine.parameters import DueParams
from schedules.engine.rule import Columns, Days


@dataclass(frozen=True)
class Placing:
    """Moves candidate dates of one block; satisfies ``rule.Place``."""

    columns: Columns
    params: DueParams

    def __call__(
        self,
        due_day: Days,
        overdue_day: Days,
        fact_day: Days | None,
        stop: NDArray[np.bool_] | None = None,
    ) -> tuple[Days, Days]:
        """Move dates, (N,) or (N, K); time away touches them only with a ``fact_day``."""
        if fact_day is not None:
            due_day, overdue_day = restart.move(self.columns, due_day, overdue_day, fact_day)
        until = onboarding.held_until(self.columns)
        grace_days = self.params.onboarding.grace_days
        return onboarding.hold(
            due_day, overdue_day, until[:, None] if due_day.ndim == 2 else until, grace_days, stop
        )
