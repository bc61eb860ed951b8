"""Published routing problems: solved to what is known of them, and reckoned by hand."""

from __future__ import annotations

import json
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from schedules.bench.instances import InstanceFigures, solve_instance
from tests.bench.instance_checker import fits, length, read_instance, read_routes

CASES = Path(__file__).parents[2] / "fixtures" / "cases"
ENTRIES = {
    entry["id"]: entry for entry in json.loads((CASES / "rounds.json").read_text(encoding="utf-8"))
}
ROUNDED = {"RT-01": "nearest", "RT-02": "tenths", "RT-05": "not", "RT-07": "not"}
ITERATIONS = {"RT-01": 300, "RT-02": 1000, "RT-05": 50, "RT-07": 300}

pytestmark = pytest.mark.once


def file_of(case: str) -> Path:
    return CASES / ENTRIES[case]["inputs"]["file"]


def expected(case: str) -> dict[str, Any]:
    found: dict[str, Any] = ENTRIES[case]["expected"]
    return found


@pytest.fixture(scope="module")
def solved() -> dict[str, InstanceFigures]:
    """Each instance by case, with so many iterations."""
    return {
        case: solve_instance(file_of(case), seconds=None, iterations=iterations, seed=1)
        for case, iterations in ITERATIONS.items()
    }


@pytest.mark.parametrize(
    ("case", "most_percent"), [("RT-01", 0), ("RT-02", 1), ("RT-05", 0), ("RT-07", 0.005)]
)
def test_instance_when_solved_then_as_near_the_best_known_as_wanted(
    solved: dict[str, InstanceFigures], case: str, most_percent: float
) -> None:
    gap = solved[case].gap_percent
    assert gap is not None
    assert gap <= most_percent


@pytest.mark.parametrize("case", sorted(ROUNDED))
def test_instance_when_solved_then_its_routes_hold_by_hand(
    solved: dict[str, InstanceFigures], case: str
) -> None:
    assert fits(read_instance(file_of(case)), solved[case].routes)


@pytest.mark.parametrize("case", ["RT-01", "RT-02", "RT-05"])
def test_instance_when_solved_then_its_cost_is_the_length_by_hand(
    solved: dict[str, InstanceFigures], case: str
) -> None:
    by_hand = length(read_instance(file_of(case)), solved[case].routes, ROUNDED[case])
    assert solved[case].cost == pytest.approx(by_hand, abs=1e-9)


def test_instance_with_prizes_when_solved_then_its_profit_by_hand(
    solved: dict[str, InstanceFigures],
) -> None:
    instance, found = read_instance(file_of("RT-07")), solved["RT-07"]
    prizes = instance.column("PRIZE")
    profit = sum(prizes[each] for each in chain(*found.routes)) - length(
        instance, found.routes, "not"
    )
    assert profit == pytest.approx(expected("RT-07")["profit_full_precision"], abs=0.005)
    assert (found.visited, found.customers) == (5, 50)


# RT-02: the published routes keep every window and cost what their file says.
def test_best_known_routes_when_reckoned_by_hand_then_as_published() -> None:
    instance, routes = read_instance(file_of("RT-02")), read_routes(CASES / "data/RC208.sol")
    assert fits(instance, routes)
    assert length(instance, routes, "tenths") == pytest.approx(expected("RT-02")["best_known_cost"])


# RT-03: first and last customer of the first route change places.
def test_best_known_routes_when_two_change_places_then_refused() -> None:
    instance, routes = read_instance(file_of("RT-02")), read_routes(CASES / "data/RC208.sol")
    routes[0][0], routes[0][-1] = routes[0][-1], routes[0][0]
    assert fits(instance, routes) is expected("RT-03")["feasible"]


def test_file_that_is_missing_when_solved_then_said(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="cannot be read"):
        solve_instance(tmp_path / "none.vrp", seconds=0, iterations=None, seed=1)


def test_file_that_is_none_when_solved_then_said(tmp_path: Path) -> None:
    (tmp_path / "text.vrp").write_text("roofs\n")
    with pytest.raises(ValueError, match=r"text\.vrp"):
        solve_instance(tmp_path / "text.vrp", seconds=0, iterations=None, seed=1)
