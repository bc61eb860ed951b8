"""One function per thing a person does with the record; pages, API, commands, files call these."""

from visits.services.batch import Outcome, record_entries
from visits.services.errors import PayloadConflictError
from visits.services.recalling import recall, recall_visit
from visits.services.record import (
    Recorded,
    RecordedVisit,
    close_finding,
    record_decision,
    record_event,
    record_visit,
)
from visits.services.rejudging import judge_again

__all__ = [
    "Outcome",
    "PayloadConflictError",
    "Recorded",
    "RecordedVisit",
    "close_finding",
    "judge_again",
    "recall",
    "recall_visit",
    "record_decision",
    "record_entries",
    "record_event",
    "record_visit",
]
