"""Policies over a tiny simulated fleet: through the command, and what the engine is told."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from schedules.bench.policies import dates, figures, picture, runs, told
from schedules.bench.policies.books import FIRST_DAY, VISITED, Books
from schedules.bench.world import luck, visiting, weeks
from schedules.bench.world.assumptions import WORLDS
from schedules.engine.due import reckon_one
from visits.limits import voltage_unbalance_percent

pytestmark = pytest.mark.once
FANS, WEEKS = 6, 32
NAMES = [
    "none", "fixed 4", "fixed 8", "fixed 13", "fixed 26", "engine x0.5", "engine x0.75",
    "engine x1", "engine x1.5", "engine x2", "perfect",
]  # fmt: skip


def asked(*words: str) -> dict[str, Any]:
    """What the command prints as JSON for a tiny fleet."""
    out = StringIO()
    tiny = ("--fans", str(FANS), "--weeks", str(WEEKS), "--json")
    call_command("bench", "policy", *tiny, *words, stdout=out, stderr=StringIO())
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


@pytest.fixture(scope="module")
def found() -> dict[str, Any]:
    return asked("--world", "coastal", "--seed", "3")


@pytest.fixture(scope="module")
def by_name(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {policy["name"]: policy for policy in found["policies"]}


@pytest.fixture(scope="module")
def world() -> weeks.World:
    return weeks.World.begins(WORLDS["rough"], luck.drawn(5, FANS, WEEKS))


def test_policy_when_run_then_every_policy_is_told(by_name: dict[str, dict[str, Any]]) -> None:
    assert list(by_name) == NAMES


def test_late_then_fewer_visits_than_when_due() -> None:
    names = ("engine x1", "late x1")
    told = {each["name"]: each for each in asked("--policies", *names)["policies"]}
    due, late = (told[name]["visits_per_fan_year"] for name in names)
    assert 0 < late < due


def test_policy_when_run_again_then_the_same_numbers(found: dict[str, Any]) -> None:
    assert asked("--world", "coastal", "--seed", "3") == found


def test_policy_when_luck_is_the_same_then_perfect_knowledge_has_fewest_failures(
    by_name: dict[str, dict[str, Any]],
) -> None:
    assert min(policy["avoidable_per_fan_year"] for policy in by_name.values()) == 0


def test_policy_when_nobody_goes_then_no_visits(by_name: dict[str, dict[str, Any]]) -> None:
    assert by_name["none"]["visits_per_fan_year"] == 0


def test_fixed_rounds_when_every_eight_weeks_then_four_visits_in_thirty_two(
    by_name: dict[str, dict[str, Any]],
) -> None:
    assert by_name["fixed 8"]["visits_per_fan_year"] == pytest.approx(4 * 52 / WEEKS)


def test_engine_when_it_sends_somebody_then_a_rule_of_its_own_said_so(
    by_name: dict[str, dict[str, Any]],
) -> None:
    engine = by_name["engine x1"]
    assert sum(engine["visits_by_rule"].values()) == pytest.approx(engine["visits_per_fan_year"])


def test_dates_when_news_came_then_each_fan_is_as_if_reckoned_alone(world: weeks.World) -> None:
    books, fans = Books(world), np.arange(FANS)
    for week in (0, 5, 9):
        books.tell_events(week, weeks.happen(world, week))
        seen = visiting.look(world, week, fans)
        mended = visiting.mend(world, week, seen)
        books.tell_visits(week, visiting.written(world, week, seen), mended)
        weeks.wear(world)
    params = dates.stretched(1.5)
    alone = [reckon_one(books.record(fan), params).due for fan in range(FANS)]
    together = dates.Dates(books, FANS, params)
    assert [due and due.due_day for due in alone] == together.due_day.tolist()


def test_dates_when_nobody_has_been_then_spread_over_the_first_weeks(world: weeks.World) -> None:
    due = dates.Dates(Books(world), FANS, dates.stretched(1)).due_day
    assert np.array_equal(due, FIRST_DAY + VISITED + 7 * (np.arange(FANS) % 6))


@pytest.mark.parametrize(
    ("percent", "verdict"), [(0.5, "within"), (1.5, "watch"), (3.0, "act"), (6.0, "stop")]
)
def test_supply_when_unbalanced_then_judged_by_nema_steps(percent: float, verdict: str) -> None:
    """At most 1 % recommended, never above 5 % (NEMA MG-1, 14.36); 2 % our choice."""
    assert told.supply_verdict(percent, three_phase=True) == ("volts_unbalance", verdict)


def test_supply_when_unbalanced_then_the_volts_have_that_unbalance() -> None:
    low = told.low_line(0.03)
    assert voltage_unbalance_percent([told.VOLTS, told.VOLTS, low]) == pytest.approx(3.0)


def test_multiplier_when_doubled_then_walks_wait_twice_and_the_code_does_not() -> None:
    twice = dates.stretched(2)
    assert (twice.walk.base_months, twice.code.high_months) == (4, 3)


def test_curve_when_asked_outside_of_it_then_nothing_is_made_up() -> None:
    assert figures.between(6.5, np.array([8.0, 13.0]), np.array([0.4, 0.2])) is None


def test_sensitivity_when_belts_are_shaken_then_half_and_half_as_much_again() -> None:
    cases = asked("--sensitivity", "belt_life")["cases"]
    assert [(case["assumption"], case["factor"]) for case in cases] == [
        ("none", 1.0), ("belt_life", 0.5), ("belt_life", 1.5),
    ]  # fmt: skip


def test_sensitivity_when_an_assumption_is_unknown_then_an_error_names_it() -> None:
    with pytest.raises(CommandError, match="tea: no assumption"):
        asked("--sensitivity", "tea")


def test_policies_when_named_then_those_and_perfect_knowledge() -> None:
    found = asked("--policies", "fixed 1", "fixed 2")
    assert [policy["name"] for policy in found["policies"]] == ["fixed 1", "fixed 2", "perfect"]


@pytest.mark.parametrize("name", ["fixed 0", "engine 2", "tea"])
def test_policies_when_one_is_unknown_then_an_error_names_it(name: str) -> None:
    with pytest.raises(CommandError, match=f"'{name}' is no policy"):
        asked("--policies", name)


def test_policy_when_a_setting_is_unknown_then_an_error_names_it() -> None:
    with pytest.raises(CommandError, match=r"walk\.tea"):
        asked("--set", "walk.tea=4")


def test_picture_when_drawn_then_each_policy_that_goes_has_its_mark() -> None:
    drawn = picture.picture(
        [
            figures.PolicyFigures("rough", name, visits, 0.0, avoidable, *[None] * 4, {})
            for name, visits, avoidable in (("fixed 8", 6.5, 0.3), ("engine x1", 13.0, 0.1))
        ]
    )
    marks = {line.rstrip()[-1]: line.index(line.rstrip()[-1]) for line in drawn.splitlines()[:-2]
             if line.rstrip()[-1] in "o*"}  # fmt: skip
    assert marks == {"o": 7 + 30, "*": 7 + 60}


def test_slips_when_visited_then_each_failure_had_some_last_sight() -> None:
    tally = runs.by_engine(WORLDS["rough"], luck.drawn(5, FANS, WEEKS), 2.0)
    assert tally.slips is not None
    assert np.array_equal(tally.slips.sum(axis=1), tally.failures)
