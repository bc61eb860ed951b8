"""The manager's weekly summary: what was done, missed, found and decided in the week that was."""

from schedules.notices.summary.gathering import summary_letters

__all__ = ["summary_letters"]
