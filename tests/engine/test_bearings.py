"""Regrease intervals against the handbook's formula worked by hand and a motor manual's table."""

from __future__ import annotations

import numpy as np
import pytest

from schedules.engine import regrease_interval_h
from schedules.engine.bearings import BEARING_K, frame_interval_h
from tests.engine.given import case

NAN = float("nan")


# BE-03, Tribology Handbook A20; no printed answer was found, the formula worked by hand.
def test_regrease_interval_of_horizontal_shafts_then_handbook_formula() -> None:
    inputs, expected = case("BE-03")
    rpm, bore, k = ([b[key] for b in inputs["bearings"]] for key in ("rpm", "bore_mm", "k"))
    found = regrease_interval_h(rpm, bore, k, vertical=False)
    assert found.tolist() == pytest.approx(expected["interval_h"], rel=1e-9)


# Own arithmetic: 14e6 / (1750 x 5) - 100 = 1500, times 10; other speeds likewise.
@pytest.mark.parametrize(("rpm", "hours"), [(1750, 7_500), (1140, 11_781), (860, 15_779)])
def test_regrease_interval_of_standing_shafts_then_half(rpm: int, hours: int) -> None:
    assert regrease_interval_h(rpm, 25) == pytest.approx(hours, abs=0.6)


# Bearing handbooks: halved for each 15 degrees above 70, at most doubled below.
@pytest.mark.parametrize(
    ("celsius", "factor"), [(85, 0.5), (100, 0.25), (77.5, 0.5**0.5), (55, 2), (20, 2)]
)
def test_regrease_interval_at_other_temperatures_then_halved_per_fifteen(
    celsius: float, factor: float
) -> None:
    reference = regrease_interval_h(1750, 25)
    assert regrease_interval_h(1750, 25, temperature_c=celsius) == pytest.approx(reference * factor)


@pytest.mark.parametrize(("rpm", "bore"), [(NAN, 25), (1750, NAN), (0, 25), (20_000, 60)])
def test_regrease_interval_when_nothing_follows_then_cannot_tell(rpm: float, bore: float) -> None:
    assert np.isnan(regrease_interval_h(rpm, bore))


# W28: frame 286T at 1750 rpm, severe duty, 0.5 x 9500 h (a washer manual read as example).
def test_frame_interval_of_286t_on_severe_duty_then_4750() -> None:
    assert frame_interval_h(286, 1750, vertical=False) == 4_750


# Motor manual's table for frames up to 210, standard duty; speeds between take the next one up.
@pytest.mark.parametrize(
    ("rpm", "hours"),
    [(850, 22_000), (900, 22_000), (1140, 18_000), (1750, 12_000), (3450, 5_500)],
)
def test_frame_interval_of_small_frames_then_next_speed_up(rpm: float, hours: float) -> None:
    assert frame_interval_h(143, rpm, duty=1.0, vertical=False) == hours


def test_frame_interval_of_standing_shaft_then_half() -> None:
    assert frame_interval_h(56, 1750) == 0.5 * 0.5 * 12_000


@pytest.mark.parametrize(("frame", "rpm"), [(286, 3500), (326, 1750), (56, 5000), (NAN, 1750)])
def test_frame_interval_when_table_has_no_row_then_cannot_tell(frame: float, rpm: float) -> None:
    assert np.isnan(frame_interval_h(frame, rpm))


def test_bearing_k_then_ball_ten_roller_five_thrust_one() -> None:
    assert [BEARING_K[kind] for kind in ("ball", "cylindrical_roller", "thrust")] == [10, 5, 1]
