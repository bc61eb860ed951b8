"""The overdue letter: once a week each owner is told which fans are overdue and what is needed."""

from schedules.notices.overdue.gathering import overdue_letters

__all__ = ["overdue_letters"]
