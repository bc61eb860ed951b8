"""Rule 8 said where a fan fails more often than its like and yet is reckoned hardly worse."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from schedules.engine.record import RuleDate
from schedules.wording import rule_sentence
from schedules.wording.owners import told_to_owner
from tests.schedules.test_wording import ODDS, told


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        # seven times as often as the 118 others, reckoned as they are
        ({"losses": 2, "watched_years": 1.5, "prior_a_year": 0.18, "rate_a_year": 0.183}, True),
        ({"losses": 2, "watched_years": 1.5, "prior_a_year": 0.3, "rate_a_year": 0.62}, False),
        ({"losses": 2, "watched_years": 11.0, "prior_a_year": 0.18, "rate_a_year": 0.18}, False),
    ],
)
def test_odds_when_own_failures_hardly_raise_them_then_why(
    facts: dict[str, float], said: bool
) -> None:
    sentence = rule_sentence(told(8, "fitted_prior", **{**ODDS, "prior_fans": 118, **facts}))
    assert sentence.endswith("it does not show that nothing ails this one.") == said


@pytest.mark.parametrize("say", [rule_sentence, told_to_owner])
def test_odds_when_watched_for_days_then_days_are_told(say: Callable[[RuleDate], str]) -> None:
    facts = {"losses": 2, "watched_years": 20 / 365.25}
    assert "in 20 days on record" in say(told(8, "assumed_prior", **{**ODDS, **facts}))
