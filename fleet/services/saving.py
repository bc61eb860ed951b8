"""Saving one row of the register together with who changed it, when and why."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from fleet.models import Person


def save_told(row: Any, by: Person | None, now: datetime, why: str) -> None:
    """Save ``row``; its history entry carries ``by``, ``now`` and ``why``."""
    row._history_user = by
    row._history_date = now
    row._change_reason = why
    row.save()
