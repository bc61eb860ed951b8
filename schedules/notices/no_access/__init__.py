"""Onto a roof there was no way, again: its owner is told once, and what is needed of them."""

from schedules.notices.no_access.gathering import no_access_letters

__all__ = ["no_access_letters"]
