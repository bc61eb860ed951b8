"""Why a failure may have happened: candidate causes by odds, never a finding of its cause."""

from schedules.engine.causes.ranking import (
    BANDS,
    DEFAULT_CAUSE_PARAMS,
    UNLISTED,
    CauseParams,
    Ranked,
    WhyFailed,
    why_failed,
)
from schedules.engine.causes.record import Happening, Past, Seen, Work
from schedules.engine.causes.table import LookFor, default_table, read_table

__all__ = [
    "BANDS",
    "DEFAULT_CAUSE_PARAMS",
    "UNLISTED",
    "CauseParams",
    "Happening",
    "LookFor",
    "Past",
    "Ranked",
    "Seen",
    "WhyFailed",
    "Work",
    "default_table",
    "read_table",
    "why_failed",
]
