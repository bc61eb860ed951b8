"""An owner who has left two weekly letters unanswered: those who manage are told, once a week."""

from schedules.notices.unanswered.gathering import unanswered_letters

__all__ = ["unanswered_letters"]
