"""What keeps a week from being planned or changed, in sentences that say what to do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from schedules.models import PlanChange


class WeekPlanError(ValueError):
    """A week nobody can plan, or a change that is impossible."""


class StaleDraftError(WeekPlanError):
    """Somebody changed the draft since it was looked at; nothing was changed.

    ``changes`` are what they did, oldest first; ``revision`` is how it stands now.
    """

    def __init__(self, text: str, changes: Sequence[PlanChange], revision: int) -> None:
        super().__init__(text)
        self.changes = tuple(changes)
        self.revision = revision
