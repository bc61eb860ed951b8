"""ISO weeks by name."""

from __future__ import annotations

from datetime import date


def iso_week(on: date) -> str:
    """``2026-W25``, the week in which a day lies (ISO 8601)."""
    year, week, _ = on.isocalendar()
    return f"{year}-W{week:02d}"
