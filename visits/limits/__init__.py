"""What a reading means, now: formulas, limits and verdicts, with no database, clock or language."""

from visits.limits.ahead import SUBJECTS as SUBJECTS_AHEAD
from visits.limits.ahead import Ahead, look_ahead
from visits.limits.basis import STANDINGS, Basis
from visits.limits.case import Context
from visits.limits.drive import FanLaw, belt_deflection_in, fan_law
from visits.limits.electrical import (
    high_resistance,
    overload_limit_a,
    resistance_unbalance_percent,
    unbalance_derating,
    voltage_unbalance_percent,
)
from visits.limits.insulation import insulation_at_40c_megohm, minimum_insulation_megohm
from visits.limits.judge import judge
from visits.limits.judgement import CODES, Judgement, by_subject, worst
from visits.limits.parameters import DEFAULT_LIMITS, LimitError, Limits, VibrationLimits
from visits.limits.readings import Reading
from visits.limits.seen import (
    ANSWERING,
    NO_ANSWER,
    answered_entries,
    entries_of,
    is_answer,
    unanswered,
)
from visits.limits.tables import table_full_load_a
from visits.limits.vibration import severity_zone, velocity_mm_s_rms

__all__ = [
    "ANSWERING",
    "CODES",
    "DEFAULT_LIMITS",
    "NO_ANSWER",
    "STANDINGS",
    "SUBJECTS_AHEAD",
    "Ahead",
    "Basis",
    "Context",
    "FanLaw",
    "Judgement",
    "LimitError",
    "Limits",
    "Reading",
    "VibrationLimits",
    "answered_entries",
    "belt_deflection_in",
    "by_subject",
    "entries_of",
    "fan_law",
    "high_resistance",
    "insulation_at_40c_megohm",
    "is_answer",
    "judge",
    "look_ahead",
    "minimum_insulation_megohm",
    "overload_limit_a",
    "resistance_unbalance_percent",
    "severity_zone",
    "table_full_load_a",
    "unanswered",
    "unbalance_derating",
    "velocity_mm_s_rms",
    "voltage_unbalance_percent",
    "worst",
]
