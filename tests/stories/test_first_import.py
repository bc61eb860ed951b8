"""The story of a fleet that came in without any history."""

from __future__ import annotations

import pytest

from schedules.demo.plates import ON_208, ONE_HP
from schedules.demo.records import Days
from schedules.demo.stories.story import Stage
from tests.stories.telling import Line, tell

pytestmark = pytest.mark.django_db


def hotel_new_to_us(days: Days) -> Stage:
    """A hotel's two fans as its spreadsheet has them; nobody of ours has been there."""
    stage = Stage("Ostrelle Tidemarsh", days)
    for tag in ("EF-1", "EF-2"):
        stage.fan(tag, ONE_HP, ON_208)
    return stage


@pytest.fixture
def line() -> Line:
    """EF-1's line."""
    return tell(hotel_new_to_us)["EF-1"]


def test_fan_without_history_waits_for_the_day_it_was_given(line: Line) -> None:
    # within six weeks; everything owed falls due on that day, overdue 14 days on
    assert (line.rule, 1 <= line.due <= 42, line.overdue - line.due) == (1, True, 14)


def test_fan_without_history_says_what_is_missing_and_where_its_day_comes_from(
    line: Line,
) -> None:
    assert (line.sentence, line.notes) == (
        "Walk-through: no complete one on record yet.",
        ("The day given for its first visit when the fleet came in.",),
    )
