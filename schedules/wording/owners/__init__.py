"""Dates and what stands behind them for owners of kitchens, in words of no trade."""

from schedules.wording.owners.lines import FanTold, fan_told, made_safe_told, over_told
from schedules.wording.owners.rules import seen_by_owner, told_to_owner
from schedules.wording.owners.spending import limit_told
from schedules.wording.owners.waiting import (
    WaitingTold,
    not_running_told,
    waiting_note,
    waiting_told,
)

__all__ = [
    "FanTold",
    "WaitingTold",
    "fan_told",
    "limit_told",
    "made_safe_told",
    "not_running_told",
    "over_told",
    "seen_by_owner",
    "told_to_owner",
    "waiting_note",
    "waiting_told",
]
