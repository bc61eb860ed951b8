"""How rows of the register keep what they were."""

from __future__ import annotations

from functools import cache
from typing import Any

from simple_history.manager import HistoryManager
from simple_history.models import HistoricalRecords


class KeptHistoryManager(HistoryManager):
    """Its class is made once for each kind of queryset, not at every save of a row."""

    @classmethod
    @cache
    def from_queryset(cls, queryset_class: type, class_name: str | None = None) -> Any:
        return super().from_queryset(queryset_class, class_name)


def keep_history(**told: Any) -> HistoricalRecords:
    """The table in which each state of a model's rows is kept, with when and by whom."""
    return HistoricalRecords(history_manager=KeptHistoryManager, **told)
