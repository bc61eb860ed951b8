"""One function per thing a person does with the record; pages, API, commands, files call these."""

from visits.services.batch import Ahead, Outcome, record_entries
from visits.services.errors import PayloadConflictError
from visits.services.photo_files import sweep_photo_files
from visits.services.photos import Attached, attach_photo, withdraw_photo
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
from visits.services.rows import Rows
from visits.services.told import RunningAnswers, record_running

__all__ = [
    "Ahead",
    "Attached",
    "Outcome",
    "PayloadConflictError",
    "Recorded",
    "RecordedVisit",
    "Rows",
    "RunningAnswers",
    "attach_photo",
    "close_finding",
    "judge_again",
    "recall",
    "recall_visit",
    "record_decision",
    "record_entries",
    "record_event",
    "record_running",
    "record_visit",
    "sweep_photo_files",
    "withdraw_photo",
]
