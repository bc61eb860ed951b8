"""A stop or a critical finding: told the same day to the owner and to whoever dispatches."""

from schedules.notices.critical.gathering import critical_letters

__all__ = ["critical_letters"]
