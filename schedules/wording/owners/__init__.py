"""Dates and what stands behind them for owners of kitchens, in words of no trade."""

from schedules.wording.owners.lines import FanTold, fan_told, made_safe_told
from schedules.wording.owners.rules import seen_by_owner, told_to_owner

__all__ = ["FanTold", "fan_told", "made_safe_told", "seen_by_owner", "told_to_owner"]
