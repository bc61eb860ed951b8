"""A roof drawn: fans as they lie from the hatch, apart enough for a thumb."""

from __future__ import annotations

from itertools import combinations
from math import dist

import pytest

from schedules.roof_plan import APART, MARK, Lying, roof_plan


def lying(*places: tuple[float | None, float | None]) -> list[Lying]:
    return [Lying(n, f"EF-{n}", "", east, north) for n, (east, north) in enumerate(places, 1)]


def test_plan_when_no_place_is_known_then_none() -> None:
    assert roof_plan(lying((None, 3.0), (None, None))) is None


def test_plan_then_north_is_up_east_is_right_and_distances_keep_their_ratio() -> None:
    """A right triangle of 9, 12 and 15 m (3-4-5, Euclid I.47) stays one."""
    plan = roof_plan(lying((0.0, 12.0), (9.0, 0.0)))
    assert plan is not None
    north, east = ((spot.x, spot.y) for spot in plan.spots)
    assert (north[1] < plan.hatch[1], east[0] > plan.hatch[0], plan.pushed) == (True, True, False)
    per_m = dist(plan.hatch, east) / 9
    assert dist(plan.hatch, north) == pytest.approx(12 * per_m, abs=0.2)
    assert dist(north, east) == pytest.approx(15 * per_m, abs=0.2)


def test_plan_then_read_from_north_to_south_and_those_without_place_are_named() -> None:
    plan = roof_plan(lying((0.0, -20.0), (None, 1.0), (5.0, 20.0), (30.0, 0.0)))
    assert plan is not None
    assert [spot.tag for spot in plan.spots] == ["EF-3", "EF-4", "EF-1"]
    assert plan.unplaced == ["EF-2"]


@pytest.mark.parametrize(
    "places",
    [
        [(0.0, 0.0)],
        [(1.0, 1.0), (1.0, 1.0), (1.0, 1.0), (40.0, 40.0)],
        [(float(n % 4), float(n // 4)) for n in range(12)],
        [(100.0, 100.0), (100.5, 100.0), (-100.0, -400.0)],
    ],
)
def test_plan_when_fans_lie_close_then_marks_stay_apart_and_inside(
    places: list[tuple[float, float]],
) -> None:
    plan = roof_plan(lying(*places))
    assert plan is not None
    marks = [(spot.x, spot.y) for spot in plan.spots]
    assert plan.pushed
    assert all(dist(*pair) >= 2 * MARK for pair in combinations([*marks, plan.hatch], 2))
    assert all(MARK <= x <= plan.width - MARK for x, _ in marks)
    assert all(MARK <= y <= plan.height - MARK for _, y in marks)
    assert APART > 2 * MARK
