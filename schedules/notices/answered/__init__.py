"""Letters about what an owner or a kitchen said: confirmed to them, told to those who plan."""

from schedules.notices.answered.letters import (
    Said,
    Saying,
    asked_letter,
    confirm_to_owner,
    tell_planners,
)

__all__ = ["Said", "Saying", "asked_letter", "confirm_to_owner", "tell_planners"]
