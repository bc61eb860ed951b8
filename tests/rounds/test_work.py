"""How long the work of one coming takes."""

from __future__ import annotations

import pytest

from schedules.engine.record import RULES, RuleDate
from schedules.rounds.work import Work


# Minutes and what each further rule adds: WorkParams, our choice.
@pytest.mark.parametrize(
    ("rules", "minutes"),
    [
        (["walk_through"], 20),
        (["failure_odds"], 20),
        (["walk_through", "failure_odds"], 20),
        (["walk_through", "grease"], 25),
        (["failure_odds", "follow_up", "walk_through"], 35),
    ],
)
def test_work_when_one_look_settles_two_rules_then_no_longer(
    rules: list[str], minutes: int
) -> None:
    told = tuple(RuleDate(RULES.index(rule), 740_000, 740_014) for rule in rules)
    assert Work(1, 1, "", told).minutes() == minutes
