"""Vibration readings against the limits of a small fan, rigidly mounted."""

from __future__ import annotations

from math import nan

from schedules.engine.record import FanRecord, Look, Vibration
from tests.engine.fans import day, fan

# ISO 14694 BV-2, rigid, mm/s peak; shutdown is our 1.25 x alarm, the standard has none.
START, ALARM, SHUTDOWN = 7.6, 12.7, 15.875
BELOW_ALARM, BELOW_START = 0.9 * ALARM - 0.01, 0.9 * START - 0.01


def reading(value_mm_s: float, verdict: str = "", **facts: object) -> Vibration:
    """One reading with the verdict that its limits give."""
    steps = (("stop", SHUTDOWN), ("act", ALARM), ("watch", START))
    given = next((name for name, limit in steps if value_mm_s >= limit), "within")
    told = {"point": "motor_radial", "detector": "peak", "meter": "overall", "hz": nan, **facts}
    return Vibration(
        value_mm_s=value_mm_s, verdict=verdict or given, start_mm_s=START, alarm_mm_s=ALARM,
        of_start=value_mm_s / START, of_alarm=value_mm_s / ALARM, **told,  # type: ignore[arg-type]
    )  # fmt: skip


def shook(on: str, value_mm_s: float, verdict: str = "", **facts: object) -> Look:
    """A check with one reading; what concerns the check goes there, all else to the reading."""
    of_look = {key: facts.pop(key) for key in ("stage", "minute", "machine") if key in facts}
    told = reading(value_mm_s, verdict, **facts)
    return Look(day(on), vibration=(told,), verdicts={"vibration": told.verdict}, **of_look)  # type: ignore[arg-type]


def felt(on: str, grade: str, **facts: object) -> Look:
    """A check with a hand on the curb."""
    return Look(day(on), felt=grade, **facts)  # type: ignore[arg-type]


def shaken(*looks: Look, **facts: object) -> FanRecord:
    """A fan with these checks."""
    return fan(**{"looks": looks, **facts})
