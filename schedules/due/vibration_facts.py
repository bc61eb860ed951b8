"""What a check's row says of vibration, with the limits of the unit and detector as typed."""

from __future__ import annotations

from math import nan

from config.questions import Row
from fleet.quantities import VIBRATION_POINTS
from schedules.engine.record import Vibration
from visits.limits.parameters import Limits, VibrationLimits

COLUMNS = {point: f"vibration_{point}_mm_s" for point in VIBRATION_POINTS}
UNKNOWN = VibrationLimits(nan, nan)


def vibration_of(row: Row, machine: Row | None, limits: Limits) -> tuple[Vibration, ...]:
    """Every vibration of one check, as found or as left."""
    return tuple(
        _vibration(row, point, machine, limits)
        for point, column in COLUMNS.items()
        if column in row["typed"]
    )


def _vibration(row: Row, point: str, machine: Row | None, limits: Limits) -> Vibration:
    name = COLUMNS[point]
    typed, value_mm_s = row["typed"][name], row[name]
    detector = row["vibration_detector"] or ""
    unit = typed.get("unit") or "mm/s"
    here = _limits(machine, limits, unit, detector)
    series = here if unit == "mm/s" else _limits(machine, limits, "mm/s", detector)
    number = typed.get("value")
    return Vibration(
        point=point,
        detector=detector,
        meter=row["vibration_meter"] or "",
        value_mm_s=nan if value_mm_s is None else value_mm_s,
        verdict=row["judged"].get(f"vibration_{point}", "cannot_judge"),
        start_mm_s=series.start,
        alarm_mm_s=series.alarm,
        of_start=nan if number is None else number / here.start,
        of_alarm=nan if number is None else number / here.alarm,
        hz=nan if row["vibration_hz"] is None else row["vibration_hz"],
        exact=not typed.get("qualifier") and value_mm_s is not None,
    )


def _limits(machine: Row | None, limits: Limits, unit: str, detector: str) -> VibrationLimits:
    """Limits of the machine's category and mounting in that column; NaN where there is none."""
    if machine is None or machine["power_hp"] is None:
        return UNKNOWN
    category = limits.vibration_category(machine["power_hp"])
    mounting = machine["mounting"] or "rigid"
    return limits.vibration.get((category, mounting, unit, detector), UNKNOWN)
