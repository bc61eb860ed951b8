"""Ways between places against published great circles (fixtures/cases/rounds.json)."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest

from schedules.engine import great_circle_m
from schedules.engine.errors import ProblemError
from schedules.engine.rounds import RoundsParams, Travel
from tests.engine.given import CASES

RADIUS_M = 6_371_000


def case(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    entries = json.loads((CASES / "rounds.json").read_text(encoding="utf-8"))
    found = next(entry for entry in entries if entry["id"] == name)
    return found["inputs"], found["expected"]


def test_great_circle_when_los_angeles_to_new_york_then_the_formulary_s_angle() -> None:
    inputs, expected = case("GC-01")
    found = great_circle_m(inputs["from"], inputs["to"]) / RADIUS_M
    assert found == pytest.approx(expected["radians"], abs=1e-6)


def test_great_circle_when_jerusalem_to_los_angeles_then_as_published() -> None:
    inputs, expected = case("GC-03")
    found = great_circle_m(inputs["from"], inputs["to"]) / 1000
    assert found == pytest.approx(expected["km"], rel=0.002)


def test_great_circle_when_at_the_edges_then_a_batch_by_hand() -> None:
    inputs, expected = case("GC-06")
    pairs = np.array(inputs["pairs"], float)
    found = great_circle_m(pairs[:, 0], pairs[:, 1]) / 1000
    assert found == pytest.approx(expected["km"], abs=1e-6)


# By hand: a degree of a meridian is pi x 6371 / 180 = 111.19493 km; x 1.3 = 144.55341 km, at
# 40 km/h 216.8301 minutes.
def test_travel_over_a_degree_then_factor_and_speed() -> None:
    travel = Travel.over([[34, -118], [35, -118]])
    assert travel.metres[0, 1] == pytest.approx(1000 * math.pi * 6371 / 180 * 1.3)
    assert travel.minutes[0, 1] == pytest.approx(216.8301, abs=1e-4)


def test_travel_over_when_faster_then_sooner() -> None:
    params = RoundsParams(detour_factor=1.0, speed_km_h=60)
    travel = Travel.over([[0, 0], [0, 1]], params)
    assert travel.minutes[0, 1] == pytest.approx(111.19493, abs=1e-5)


def test_travel_given_when_it_differs_by_direction_then_kept_and_rounded_up() -> None:
    travel = Travel(np.array([[0, 5.2], [9, 0]]), np.array([[0, 4000], [8000, 0]]))
    assert travel.roads.tolist() == [[0, 6], [9, 0]]


BAD = [
    # not square
    ([[0, 1]], [[0, 1]], "square"),
    # a gap
    ([[0, np.nan], [1, 0]], [[0, 1], [1, 0]], "from node 0 to 1"),
    # a way back in time
    ([[0, 1], [-1, 0]], [[0, 1], [1, 0]], "negative"),
    # somewhere to itself
    ([[1, 1], [1, 1]], [[0, 1], [1, 0]], "diagonal"),
    # of different places
    ([[0, 1], [1, 0]], [[0]], "same places"),
]


@pytest.mark.parametrize(("minutes", "metres", "told"), BAD)
def test_travel_when_no_matrix_then_said(minutes: Any, metres: Any, told: str) -> None:
    with pytest.raises(ProblemError, match=told):
        Travel(np.array(minutes, float), np.array(metres, float))


@pytest.mark.parametrize("place", [[91, 0], [0, np.inf], [0, 0, 0]])
def test_great_circle_when_no_place_then_said(place: list[float]) -> None:
    with pytest.raises(ProblemError):
        great_circle_m(place, [0, 0])
