"""What was seen and done: append-only visits with their checks, findings, actions and decisions."""

from visits.models.checks import Check
from visits.models.events import Event
from visits.models.findings import Closing, Finding
from visits.models.outcomes import (
    Action,
    Decision,
    MadeSafe,
    NotReached,
    Recommendation,
    SystemInspection,
)
from visits.models.photos import Photo
from visits.models.plates import PlateReading
from visits.models.told import RunningTold
from visits.models.visit_answers import VisitAnswer
from visits.models.visits import Visit

__all__ = [
    "Action",
    "Check",
    "Closing",
    "Decision",
    "Event",
    "Finding",
    "MadeSafe",
    "NotReached",
    "Photo",
    "PlateReading",
    "Recommendation",
    "RunningTold",
    "SystemInspection",
    "Visit",
    "VisitAnswer",
]
