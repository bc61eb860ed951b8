"""The rules in force, in order of their numbers; a new rule is a module and a line here."""

from __future__ import annotations

from schedules.engine import (
    after_event,
    failure_odds,
    follow_up,
    grease,
    hours,
    inspection,
    restart,
    vibration,
    walk_through,
)
from schedules.engine.rule import Rule

RULE_MODULES: tuple[Rule, ...] = (
    walk_through, inspection, hours, grease, vibration, follow_up, after_event,
    failure_odds, restart,
)  # fmt: skip
"""Columns of every block result follow this order."""
