"""What the oracle says of one rule, as dates to be read."""

from __future__ import annotations

from schedules.engine.record import FanRecord
from tests.engine.fans import iso
from tests.oracle.reckon import oracle_reckon


def asked(record: FanRecord, rule: int) -> list[tuple[str, str]]:
    """Every due and overdue day that stands by a rule, earliest due first."""
    dates = oracle_reckon(record).dates
    return [(iso(d.due_day), iso(d.overdue_after_day)) for d in dates if d.rule == rule]
