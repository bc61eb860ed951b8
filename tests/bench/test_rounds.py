"""`bench rounds` at work on a small week and on a published problem."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from schedules.bench.nearest import nearest_by_due_date
from schedules.bench.rounds import WeekFigures, measure_week
from schedules.bench.weeks import invented_week
from schedules.engine.rounds.board import lay_out
from schedules.engine.rounds.routes import objective_cents, tasks_done

pytestmark = pytest.mark.once


def bench(*words: str) -> dict[str, Any]:
    """What the command prints as JSON."""
    out = StringIO()
    call_command("bench", "rounds", *words, "--json", stdout=out, stderr=StringIO())
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


@pytest.fixture(scope="module")
def figures() -> WeekFigures:
    return measure_week(
        fans=40, sites=25, technicians=2, seconds=None, iterations=100, seed=3, tell=lambda _: None
    )


def test_week_when_measured_then_better_than_by_due_date(figures: WeekFigures) -> None:
    assert figures.better_than_nearest_percent >= 12


def test_week_when_measured_then_about_as_good_as_the_bare_solver(figures: WeekFigures) -> None:
    assert figures.cost_to_solver <= 1.05


def test_week_when_a_stop_is_called_off_then_no_dearer(figures: WeekFigures) -> None:
    assert figures.replan_to_plan <= 1


def test_week_when_measured_then_nothing_required_is_left(figures: WeekFigures) -> None:
    assert (figures.required_left, figures.growth > 0, figures.peak_mb > 0) == (0, True, True)


def test_nearest_by_due_date_when_walked_then_keeps_every_clock_and_does_each_once() -> None:
    board = lay_out(invented_week(fans=40, sites=25, technicians=2, seed=3))
    routes = nearest_by_due_date(board)
    done = [board.options[number].task for route in routes for number in route]
    assert len(done) == len(tasks_done(board, routes)) > 10
    assert objective_cents(board, routes) > 0


def test_command_when_given_a_file_then_how_far_from_the_best_known(root: Path) -> None:
    found = bench(str(root / "fixtures/cases/data/OkSmall.txt"), "--iterations", "50")
    assert {name: found[name] for name in ("cost", "best_known", "gap_percent", "visited")} == {
        "cost": 9155, "best_known": 9155, "gap_percent": 0, "visited": 4,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("none.vrp",), "cannot be read"),
        (("--fans", "0"), "make no week"),
        (("--seconds", "0"), "no time"),
    ],
)
def test_command_when_there_is_nothing_to_measure_then_says_so(
    words: tuple[str, ...], told: str
) -> None:
    with pytest.raises(CommandError, match=told):
        bench(*words)
