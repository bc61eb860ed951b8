"""What a reading means, now: formulas, limits and verdicts, with no database, clock or language."""

from visits.limits.drive import FanLaw, belt_deflection_in, belt_span_in, fan_law
from visits.limits.electrical import (
    high_resistance,
    overload_limit_a,
    resistance_unbalance_percent,
    unbalance_derating,
    voltage_unbalance_percent,
)
from visits.limits.insulation import insulation_at_40c_megohm, minimum_insulation_megohm
from visits.limits.tables import table_full_load_a
from visits.limits.vibration import severity_zone, velocity_mm_s_rms

__all__ = [
    "FanLaw",
    "belt_deflection_in",
    "belt_span_in",
    "fan_law",
    "high_resistance",
    "insulation_at_40c_megohm",
    "minimum_insulation_megohm",
    "overload_limit_a",
    "resistance_unbalance_percent",
    "severity_zone",
    "table_full_load_a",
    "unbalance_derating",
    "velocity_mm_s_rms",
    "voltage_unbalance_percent",
]
