"""A fan out of service: its owner is told the day it is made safe, and again until it runs."""

from schedules.notices.made_safe.gathering import made_safe_letters

__all__ = ["made_safe_letters"]
