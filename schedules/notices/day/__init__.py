"""A technician's day: mailed the working evening before, and again where it changed after that."""

from schedules.notices.day.gathering import day_letters

__all__ = ["day_letters"]
