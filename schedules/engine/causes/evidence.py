"""What the record shows before a failure: each piece of evidence there, not there, or not known.

Not looked at is not *not there*: such a piece is None and moves no odds.  Windows are our choice.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan, nan

from schedules.engine.causes.looking import (
    FAULTY,
    NOTICED,
    SHAKING,
    TURNING,
    Answer,
    Find,
    any_of,
    before_failing,
    began_after,
    earlier_state,
    event,
    judged,
    lately,
    newest_of,
    shook,
    state,
)
from schedules.engine.causes.record import Past

RECENT_WORK_DAYS = 90
YEAR_DAYS = 365
USUAL_LIFE_YEARS: Mapping[str, float] = {
    "belt": 1.0, "capacitor": 7.0, "bearings": 6.0, "motor": 12.0, "switch": 12.0, "drive": 9.0,
    "overload": 15.0, "breaker": 20.0, "sheaves": 6.0, "wheel": 15.0, "cable": 12.0,
    "conduit": 20.0, "hinge": 12.0, "catch": 12.0, "hood_switch": 10.0, "heat_sensor": 10.0,
    "fire_system": 10.0, "make_up_air": 12.0, "shaft": 20.0,
}  # fmt: skip
"""Ages after which wear needs no other reason: common practice, no source."""


def evidence_of(past: Past) -> dict[str, bool]:
    """All that is known, by code: true where it is there, false where looked for in vain."""
    found = {code: find(past) for code, find in FINDERS.items()}
    return {code: answer for code, answer in found.items() if answer is not None}


def _tipped(past: Past) -> Answer:
    """Laid over at a cleaning within 45 days, and not seen sound since; false where told left."""
    cleanings = lately(past, "hood_cleaning", 45)
    tipped = [each.day for each in cleanings if each.tipped]
    if not tipped:
        return False if cleanings else None
    calm = [
        look
        for look in past.looks
        if max(tipped) < look.day < past.failed_day
        and any(look.verdicts.get(name) == "within" for name in SHAKING)
        and look.verdicts.get("wheel_gap", "within") == "within"
        and look.verdicts.get("wheel", "within") == "within"
    ]
    return not calm


def _volts(low: float, high: float) -> Find:
    """The line farthest off its rating lies beyond these; within is told by the verdict."""

    def find(past: Past) -> Answer:
        latest = newest_of(past, "volts")
        if latest is None:
            return None
        if latest.verdicts["volts"] == "within":
            return False
        ratio = latest.volts_of_rated
        return None if isnan(ratio) else ratio < low or ratio > high

    return find


def _overload_low(past: Past) -> Answer:
    """The setting stands under the motor's full-load current."""
    latest = newest_of(past, "overload")
    ratio = latest.overload_of_full_load if latest else nan
    return None if isnan(ratio) else ratio < 0.98


def _belt(tight: bool) -> Find:
    """Deflection under three quarters of the usual one, or beyond one and a half."""

    def find(past: Past) -> Answer:
        latest = newest_of(past, "belt_deflection")
        ratio = latest.belt_of_usual if latest else nan
        if isnan(ratio):
            return None
        return ratio < 0.75 if tight else ratio > 1.5

    return find


def _age_days(past: Past) -> int | None:
    born = past.renewed_day(past.item)
    if born is None and past.item in POSITION_AGED:
        born = past.since_day if past.first_day is None else past.first_day or None
    return None if born is None else past.failed_day - born


POSITION_AGED = frozenset({"switch", "conduit", "overload", "drive", "breaker"})
"""Put in with the first machine unless told otherwise."""


def _is_old(past: Past) -> Answer:
    age, usual = _age_days(past), USUAL_LIFE_YEARS.get(past.item)
    return None if age is None or usual is None else age >= usual * YEAR_DAYS


def _is_new(past: Past) -> Answer:
    age = _age_days(past)
    return None if age is None else age <= RECENT_WORK_DAYS


def _replaced(item: str, days: int) -> Find:
    """Another one put in that many days before; not within them is told by its known age."""

    def find(past: Past) -> Answer:
        day = past.renewed_day(item)
        return None if day is None else past.failed_day - day <= days

    return find


def _sheaves_changed(past: Past) -> Answer:
    """Other sheaves put in that long before; those that came with the machine were in line."""
    since = past.machine_day() or 0
    days = [
        work.day
        for work in past.works
        if work.item == "sheaves" and past.is_before(work) and work.day >= since
    ]
    return past.failed_day - max(days) <= 120 if days else None


def _regreased(past: Past) -> bool:
    machine = past.machine_day()
    return any(
        work.kind == "regreased" and work.day < past.failed_day and work.day >= (machine or 0)
        for work in past.works
    )


def _greased_sealed(past: Past) -> Answer:
    if past.bearings != "sealed":
        return None
    return True if _regreased(past) else None


def _never_greased(past: Past) -> Answer:
    """Three years of a machine on record without one greasing."""
    machine = past.machine_day()
    if past.bearings == "sealed" or machine is None:
        return None
    if _regreased(past):
        return False
    return True if past.failed_day - machine > 3 * YEAR_DAYS else None


def _failed_again(past: Past) -> Answer:
    """The same item failed here within a year; an empty past is no proof that it did not."""
    days = [day for item, day in past.failures if item == past.item and day < past.failed_day]
    return True if days and past.failed_day - max(days) <= YEAR_DAYS else None


def _control(*codes: str) -> Find:
    return lambda past: past.control in codes if past.control else None


_TOUCHED = frozenset({"remounted", "speed_changed"})

FINDERS: Mapping[str, Find] = {
    "shaking": shook(FAULTY),
    "unsteady": shook(NOTICED),
    "shakes_since_changed": began_after(_TOUCHED, 60),
    "tipped": _tipped,
    "cleaned_lately": event("hood_cleaning", 3),
    "washed_lately": event("hood_cleaning", 10),
    "storm": event("storm", 14),
    "power_event": event("power_event", 4),
    "kitchen_changed": event("kitchen_change", 30),
    "breaker_reset": event("breaker_reset", 30),
    "cover_open": state("switch_cover", "loose", "open"),
    "corroded": state("corrosion", "surface", "deep", "holed"),
    "corroded_deep": state("corrosion", "deep", "holed"),
    "harsh_air": lambda past: past.harsh,
    "volts_low": _volts(0.9, float("inf")),
    "volts_high": _volts(0.0, 1.1),
    "volts_unbalanced": judged(FAULTY, "volts_unbalance"),
    "phase_lost": judged(frozenset({"stop"}), "lost_phase"),
    "legs_unequal": judged(FAULTY, "amps_unbalance"),
    "amps_high": judged(FAULTY, "amps"),
    "insulation_low": judged(FAULTY, "insulation"),
    "winding_unequal": judged(FAULTY, "winding_unbalance"),
    "hot_joint": judged(FAULTY, "temperature_difference"),
    "poles_uneven": judged(FAULTY, "poles"),
    "switch_loose": state("switch_feel", "loose"),
    "overload_set_high": judged(FAULTY, "overload"),
    "overload_set_low": _overload_low,
    "capacitor_weak": any_of(
        judged(FAULTY, "capacitor"), state("capacitor_case", "bulged"),
    ),
    "vents_plugged": state("motor_vents", "plugged"),
    "vents_dusty": state("motor_vents", "dusty", "plugged"),
    "bearings_rough": before_failing(TURNING, any_of(
        state("noise", "grinding"), state("bearings", "hot", "rough", "noisy"),
        state("wheel", "rubbing"), state("wheel_gap", "touching"),
    )),
    "wheel_dirty": state("wheel", "dirty"),
    "grease_thick": any_of(
        judged(FAULTY, "grease_duct", "grease_hood", "grease_housing"),
        state("grease_box", "overflowing"),
    ),
    "wheel_bent": any_of(state("wheel", "dented"), state("wheel_gap", "uneven", "touching")),
    "setscrews_loose": state("setscrews", "found_loose"),
    "rotation_wrong": state("rotation", "wrong"),
    "curb_loose": state("curb", "loose"),
    "hinge_missing": earlier_state("hinge", "none"),
    "hinge_loose": earlier_state("hinge", "loose", "broken"),
    "cable_stretched": earlier_state("cable", "stretched", "damaged", "bare"),
    "belt_tight": _belt(tight=True),
    "belt_slack": _belt(tight=False),
    "belt_glazed": state("belt", "glazed"),
    "belt_worn": state("belt", "worn", "cracked"),
    "sheaves_worn": any_of(
        state("sheaves", "worn", "cracked"), judged(FAULTY, "sheave_wear"),
    ),
    "belt_new": _replaced("belt", 10),
    "sheaves_changed": _sheaves_changed,
    "machine_changed": _replaced("machine", RECENT_WORK_DAYS),
    "part_old": _is_old,
    "part_new": _is_new,
    "greased_sealed": _greased_sealed,
    "never_greased": _never_greased,
    "failed_again": _failed_again,
    "triac": _control("triac"),
    "drive": _control("drive"),
}  # fmt: skip
"""Every piece of evidence there is, by the code that the table and the words go by."""
