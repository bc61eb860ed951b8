"""The limits object: every default has its source, overrides are checked and say so."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields
from typing import Any

import pytest

from tests.limits.samples import code, judged, verdict, volts
from visits.limits import DEFAULT_LIMITS, STANDINGS, LimitError, Limits, VibrationLimits


@pytest.mark.parametrize("name", [entry.name for entry in fields(Limits)])
def test_every_limit_has_unit_source_and_standing(name: str) -> None:
    basis = DEFAULT_LIMITS.basis(name)
    assert basis.standard
    assert basis.standing in STANDINGS


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"volts_ratio": (1.1, 0.9)}, r"volts_ratio = \(1.1, 0.9\): expected 2 rising"),
        ({"volts_ratio": (0.9,)}, "expected 2 rising"),
        ({"volts_ratio": 0.9}, "expected 2 rising"),
        ({"grease_duct_um": 10}, r"in \[50, 20000\] \(um\)"),
        ({"grease_duct_um": float("nan")}, "grease_duct_um = nan"),
        ({"pole_ratio": "2"}, "pole_ratio = '2'"),
        ({"vibration": {("BV-2", "rigid", "mm/s", "rms"): VibrationLimits(9, 5)}}, "vibration ="),
        ({"volts": 1}, "volts: no such limit"),
    ],
)
def test_impossible_limit_is_refused_by_name(values: dict[str, Any], message: str) -> None:
    with pytest.raises(LimitError, match=message):
        DEFAULT_LIMITS.changed(**values)


def test_limits_are_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        DEFAULT_LIMITS.pole_ratio = 2.0  # type: ignore[misc]


def test_changed_limit_changes_the_verdict() -> None:
    stricter = DEFAULT_LIMITS.changed(volts_ratio=(0.95, 1.05))
    assert verdict("volts", volts(215, 230, 230), limits=stricter) == "act"


def test_changed_limit_says_it_was_set_here() -> None:
    stricter = DEFAULT_LIMITS.changed(volts_ratio=(0.95, 1.05))
    found = judged("volts", volts(215, 230, 230), limits=stricter)
    assert found is not None
    assert found.basis.standing == "set here"


def test_unchanged_limit_keeps_its_source() -> None:
    stricter = DEFAULT_LIMITS.changed(volts_ratio=(0.95, 1.05))
    assert stricter.basis("grease_duct_um") == DEFAULT_LIMITS.basis("grease_duct_um")


@pytest.mark.parametrize(("unit", "limit"), [("um", 1500), ("mm", 1.5), ("mil", 59.0551)])
def test_changed_grease_limit_is_the_same_in_every_unit(unit: str, limit: float) -> None:
    stricter = DEFAULT_LIMITS.changed(grease_duct_um=1500.0)
    assert stricter.grease_limit("duct", unit) == pytest.approx(limit)


def test_vibration_table_may_leave_out_a_column() -> None:
    rows = {("BV-3", "rigid", "mm/s", "rms"): VibrationLimits(4.5, 7.1, 9.0)}
    limits = DEFAULT_LIMITS.changed(vibration=rows)
    readings = {"vibration_curb_mm_s": 3.0}
    found = code("vibration", readings, limits=limits, vibration_detector="rms")
    assert found == "vibration.no_column"
