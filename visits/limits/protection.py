"""What protects the motor: overload setting against the plate, breaker against the code's table."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

from fleet.quantities import Verdict
from visits.limits import judgement as codes
from visits.limits.basis import NEC_OVERLOAD, NEC_STANDARD_SIZES, SET_HERE
from visits.limits.case import Case
from visits.limits.electrical import (
    HIGHER_SERVICE_FACTOR,
    LOWER_RISE_C,
    OVERLOAD_RATIOS,
    OVERLOAD_RATIOS_HARD_START,
)
from visits.limits.giving import cannot, cannot_missing, in_bands
from visits.limits.judgement import Judgement
from visits.limits.readings import Span, up_to
from visits.limits.tables import full_load_current_a, next_standard_breaker_a

SETTING, PRESENT, BREAKER = "overload_setting_a", "overload_present", "breaker_a"


def overload_rows(case: Case) -> Iterator[Judgement]:
    """The setting within what the plate allows; none present is a fault unless built in."""
    present, setting = case.states.get(PRESENT), case.canonical(SETTING)
    built_in = case.plate.thermally_protected or case.is_electronic
    because = "motor_type" if case.is_electronic else "thermally_protected"
    if present and built_in:
        yield cannot(PRESENT, codes.NOT_ASKED, PRESENT, because=because, seen=present)
    elif present:
        yield _presence(case, present)
    if setting is not None and built_in:
        yield cannot("overload", codes.NOT_ASKED, SETTING, because=because, seen="")
    elif setting is not None:
        yield _setting(case, setting)


def _presence(case: Case, present: str) -> Judgement:
    bypassed = case.feed.control == "drive_bypassed"
    verdict: Verdict = "within" if present == "present" else "act"
    code = "none_bypassed" if verdict == "act" and bypassed else present
    return Judgement(
        PRESENT, f"{PRESENT}.{code}", verdict, "overload", PRESENT, NEC_OVERLOAD, present
    )


def _setting(case: Case, setting: Span) -> Judgement:
    full_load_a = case.full_load_a()
    if full_load_a is None:
        return case.no_full_load("overload", SETTING)
    if not case.plate.cannot_read("service_factor"):
        return _by_factor(case, setting, full_load_a, case.plate.service_factor or 1.0)
    strict, loose = (_by_factor(case, setting, full_load_a, sf) for sf in (1.0, 1.15))
    if strict.verdict == loose.verdict:
        return strict
    return cannot_missing("overload", SETTING, ["service_factor"], ["service_factor"])


def _by_factor(case: Case, setting: Span, full_load_a: float, factor: float) -> Judgement:
    ratio, hard = overload_ratios(case, factor)
    return in_bands(
        "overload", SETTING, setting, up_to((ratio * full_load_a,), "within", "above"),
        ("within", "act"), NEC_OVERLOAD,
        full_load_a=full_load_a, hard_start_a=hard * full_load_a, suggested=case.suggested,
    )  # fmt: skip


def overload_ratios(case: Case, factor: float) -> tuple[float, float]:
    """Shares of full load that a setting may have, and where the motor would not start."""
    rise_c = case.plate.temperature_rise_c
    better = factor >= HIGHER_SERVICE_FACTOR or (nan if rise_c is None else rise_c) <= LOWER_RISE_C
    place = 0 if better else 1
    return OVERLOAD_RATIOS[place], OVERLOAD_RATIOS_HARD_START[place]


def breaker_row(case: Case) -> Iterator[Judgement]:
    """At most the smallest standard size not below 250 % of the table's full-load current."""
    breaker = case.canonical(BREAKER)
    if breaker is None:
        return
    volts = case.full_load_v()
    missing = _not_known(case, volts)
    if case.plate_error:
        yield cannot("breaker", codes.PLATE_UNUSABLE, BREAKER, error=case.plate_error)
    elif missing:
        unread = [name for name in missing if case.plate.cannot_read(name)]
        yield cannot_missing("breaker", BREAKER, missing, unread)
    else:
        yield _breaker(case, breaker, case.plate.power_hp or 0.0, volts or 0.0)


def _not_known(case: Case, volts: float | None) -> list[str]:
    missing = ["power_hp"] if case.plate.power_hp is None else []
    if volts is None:
        missing.append("connected_volts" if "/" in case.plate.volts else "volts")
    if case.is_three_phase is None and not case.is_electronic:
        missing.append("motor_type")
    return missing


def _breaker(case: Case, breaker: Span, power_hp: float, volts: float) -> Judgement:
    phases = 3 if case.is_three_phase else 1
    # The tables list induction motors; one with its electronics built in is not among them.
    table_a = None if case.is_electronic else full_load_current_a(power_hp, volts, phases)
    size = None if table_a is None else next_standard_breaker_a(case.limits.breaker_ratio * table_a)
    if table_a is None or size is None:
        facts = {"power_hp": power_hp, "volts": volts, "phases": phases}
        return cannot("breaker", "breaker.not_in_table", BREAKER, **facts)
    source = case.limits.basis("breaker_ratio")
    basis = NEC_STANDARD_SIZES if source.standing != SET_HERE else source
    return in_bands(
        "breaker", BREAKER, breaker, up_to((size,), "within", "above"), ("within", "act"), basis,
        table_a=table_a, suggested=case.suggested,
    )  # fmt: skip
