"""Overload settings and breakers against the electrical code's figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fleet.plates import Feed, Plate
from tests.limits.samples import EC_PLATE, FEED, PLATE, PSC_PLATE, code, judged, verdict
from visits.limits import table_full_load_a
from visits.limits.tables import STANDARD_BREAKERS_A, next_standard_breaker_a

BYPASSED = replace(FEED, control="drive_bypassed")


@pytest.mark.parametrize(
    ("factor", "rise_c", "setting", "expected"),
    [(1.15, None, 4.0, "within"), (1.15, None, 4.01, "act"), (1.15, None, 3.99, "within"),
     (1.0, None, 3.68, "within"), (1.0, None, 3.69, "act"), (None, None, 3.69, "act"),
     (1.0, 40, 4.0, "within"), (1.0, 41, 4.0, "act")],
)  # fmt: skip
def test_overload_setting_at_its_limit(
    factor: float | None, rise_c: float | None, setting: float, expected: str
) -> None:
    plate = replace(PLATE, service_factor=factor, temperature_rise_c=rise_c)
    assert verdict("overload", {"overload_setting_a": setting}, plate=plate) == expected


@pytest.mark.parametrize(
    ("setting", "expected"), [(3.6, "within"), (3.8, "cannot_judge"), (4.1, "act")]
)
def test_overload_setting_with_an_unreadable_service_factor(setting: float, expected: str) -> None:
    plate = replace(PLATE, service_factor=None, unreadable=frozenset({"service_factor"}))
    assert verdict("overload", {"overload_setting_a": setting}, plate=plate) == expected


def test_overload_setting_without_plate_amperes_cannot_be_judged() -> None:
    plate = replace(PLATE, full_load_amps="")
    found = judged("overload", {"overload_setting_a": 4}, plate=plate)
    assert found is not None
    assert (found.verdict, found.args["missing"]) == ("cannot_judge", ("full_load_amps",))


@pytest.mark.parametrize(
    ("feed", "expected"),
    [(FEED, "overload_present.none"), (BYPASSED, "overload_present.none_bypassed")],
)
def test_overload_gone_is_a_fault_and_says_if_the_drive_is_bypassed(
    feed: Feed, expected: str
) -> None:
    found = judged("overload_present", {"overload_present": "none"}, feed=feed)
    assert found is not None
    assert (found.code, found.verdict) == (expected, "act")


@pytest.mark.parametrize("plate", [EC_PLATE, replace(PLATE, thermally_protected=True)])
def test_overload_is_not_asked_of_motors_that_protect_themselves(plate: Plate) -> None:
    readings = {"overload_present": "none", "overload_setting_a": 9}
    codes = {code(subject, readings, plate=plate) for subject in ("overload", "overload_present")}
    assert codes == {"not_asked"}


@pytest.mark.parametrize(
    ("hp", "breaker", "expected"),
    [(1, 15, "within"), (1, 20, "act"), (2, 20, "within"), (2, 25, "act"), (5, 40, "within"),
     (5, 45, "act")],
)  # fmt: skip
def test_breaker_at_most_the_next_size_above_250_percent(
    hp: float, breaker: float, expected: str
) -> None:
    # 230 V: 1 hp 4.2 A, 2 hp 6.8 A (17 A), 5 hp 15.2 A (38 A); NFPA 70 Tables 430.250, 430.52.
    assert verdict("breaker", {"breaker_a": breaker}, plate=replace(PLATE, power_hp=hp)) == expected


def test_breaker_of_a_single_phase_motor_uses_its_own_table() -> None:
    # 1/4 hp, 115 V: 5.8 A, 14.5 A.
    found = judged("breaker", {"breaker_a": 20}, plate=PSC_PLATE, feed=Feed())
    assert found is not None
    assert (found.verdict, found.limit) == ("act", 15)


@pytest.mark.parametrize(
    "plate", [replace(PLATE, power_hp=0.4), replace(PLATE, power_hp=20.0), EC_PLATE]
)
def test_breaker_of_a_motor_outside_the_table_cannot_be_judged(plate: Plate) -> None:
    assert code("breaker", {"breaker_a": 20}, plate=plate) == "breaker.not_in_table"


@pytest.mark.parametrize(
    ("plate", "feed", "missing"),
    [(replace(PLATE, power_hp=None), FEED, ("power_hp",)), (PLATE, Feed(), ("connected_volts",)),
     (replace(PLATE, motor_type=""), FEED, ("motor_type",)),
     (Plate(), Feed(), ("power_hp", "volts", "motor_type"))],
)  # fmt: skip
def test_breaker_without_facts_says_what_is_missing(
    plate: Plate, feed: Feed, missing: tuple[str, ...]
) -> None:
    found = judged("breaker", {"breaker_a": 20}, plate=plate, feed=feed)
    assert found is not None
    assert found.args["missing"] == missing


@pytest.mark.parametrize("size", STANDARD_BREAKERS_A)
def test_next_breaker_of_a_standard_size_is_itself(size: int) -> None:
    assert next_standard_breaker_a(size) == size


def test_next_breaker_above_the_largest_listed_is_none() -> None:
    assert next_standard_breaker_a(100.1) is None


# NFPA 70 Tables 430.250 and 430.248; the single-phase 208 V column is from memory.
@pytest.mark.parametrize(
    ("hp", "phases", "expected"),
    [(0.75, 3, [6.4, 3.7, 3.5, 3.2, 1.6]), (1.5, 3, [12.0, 6.9, 6.6, 6.0, 3.0]),
     (3, 3, [np.nan, 11.0, 10.6, 9.6, 4.8]), (7.5, 3, [np.nan, 25.3, 24.2, 22, 11]),
     (1 / 3, 1, [7.2, 4.1, 4.0, 3.6, np.nan]), (0.5, 1, [9.8, 5.6, 5.4, 4.9, np.nan]),
     (3, 1, [34, 19.6, 18.7, 17, np.nan])],
)  # fmt: skip
def test_table_rows_are_the_codes(hp: float, phases: int, expected: list[float]) -> None:
    found = table_full_load_a(hp, [115, 200, 208, 230, 460], phases)
    assert found == pytest.approx(expected, nan_ok=True)


@pytest.mark.parametrize(
    ("hp", "volts", "phases"),
    [(1, 575, 3), (0.4, 230, 3), (0.25, 230, 3), (1, 277, 1), (1, 230, 2)],
)
def test_table_without_an_entry_gives_nan(hp: float, volts: float, phases: int) -> None:
    assert np.isnan(table_full_load_a(hp, volts, phases))


def test_table_finds_the_row_of_a_size_printed_in_kilowatts() -> None:
    # 0.55 kW is 0.738 hp: the 3/4 hp row.
    assert table_full_load_a(0.55 / 0.7457, 460, 3) == pytest.approx(1.6)


def test_table_finds_the_column_of_a_system_voltage() -> None:
    assert table_full_load_a(1, [120, 240, 480], 3).tolist() == [8.4, 4.2, 2.1]
