"""What the register tells the apps above it: whose dates may no longer hold."""

from __future__ import annotations

from collections.abc import Iterable

from django.dispatch import Signal

fans_touched = Signal()
"""Sent inside the writing transaction with ``fan_ids``, a list without repeats, lowest first."""


def touch_fans(fan_ids: Iterable[int]) -> None:
    """Tell whoever keeps dates that these fans changed; silent where there are none."""
    touched = sorted(set(fan_ids))
    if touched:
        fans_touched.send(sender=None, fan_ids=touched)
