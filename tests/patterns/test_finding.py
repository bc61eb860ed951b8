"""Patterns raised, brought up to date, closed and raised again, over the whole fleet."""

from __future__ import annotations

import datetime as dt
import json
from io import StringIO
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from fleet.services.errors import RegisterError
from schedules.models import Pattern, PatternClosing
from schedules.patterns.closing import (
    NoSuchPatternError,
    NotAsSeenError,
    Words,
    close_pattern,
)
from schedules.patterns.course import read_course
from schedules.patterns.finding import PatternsFound, find_patterns
from schedules.wording.patterns import compared_text
from tests.patterns.failing import NOW, corrected, failed, visited
from tests.schedules.fans import make_fan, walk
from visits.models import Visit

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


def test_sibling_watched_for_days_then_not_said_to_be_none(fan: Fan) -> None:
    sibling = make_fan("EF-2")
    Fan.objects.filter(pk=sibling.pk).update(entered_on=NOW.date() - 5 * DAY)
    told = compared_text(twice(fan))
    assert "0 in less than 0.1 fan-years on all others" in told


def find(days: int = 0) -> PatternsFound:
    return find_patterns(now=NOW + days * DAY)


def states() -> list[tuple[str, str, int]]:
    rows = Pattern.objects.order_by("fan", "item")
    return [(row.item, row.state, row.failures) for row in rows]


def twice(fan: Fan, **more: Any) -> Pattern:
    failed(fan, "2025-09-01", **more)
    failed(fan, "2026-05-01", **more)
    find()
    return Pattern.objects.get()


def close(pattern: Pattern, by: Person, **words: Any) -> PatternClosing:
    told = Words(**{"failures": pattern.failures, "reason": "bracket made anew", **words})
    return close_pattern(pattern_id=pattern.pk, words=told, by=by, now=NOW)


@pytest.mark.parametrize(
    ("first", "raised"), [("2025-05-01", 1), ("2025-04-30", 0), ("2026-05-01", 0)]
)
def test_same_item_twice_then_a_pattern_within_twelve_months(
    fan: Fan, first: str, raised: int
) -> None:
    failed(fan, first)
    failed(fan, "2026-05-01")
    assert find().raised == raised


def test_two_items_once_each_then_no_pattern(fan: Fan) -> None:
    failed(fan, "2026-03-01", "switch")
    failed(fan, "2026-05-01", "motor")
    assert find().open == 0


@pytest.mark.parametrize("kept_out", [{"call_back": True}, {"loss_of_function": False}])
def test_call_backs_and_findings_then_no_failures(fan: Fan, kept_out: dict[str, bool]) -> None:
    failed(fan, "2026-03-01")
    failed(fan, "2026-05-01", **kept_out)
    assert find().open == 0


def test_one_fan_of_many_that_fails_often_then_raised_by_rate(fan: Fan) -> None:
    for number in range(2, 32):
        make_fan(f"EF-{number}")
    Fan.objects.update(entered_on=dt.date(2016, 6, 15))
    for year in (2016, 2018, 2020, 2022, 2024):
        failed(fan, f"{year}-06-16")
    find()
    row = Pattern.objects.get()
    assert (row.by_rate, row.again_soon, row.figures["others"]) == (True, False, 0)
    # all five of five in one of 31 equal times: (1 / 31)^5, adjusted for 31 fans of one item
    assert row.figures["discovery"] == pytest.approx(31 / 31**5, rel=1e-3)


def test_site_visited_once_long_ago_then_watched_since_regular_visits(fan: Fan) -> None:
    visited(fan, "2001-03-01")
    visited(fan, "2024-06-15")
    row = twice(fan)
    assert row.figures["years"] == pytest.approx(2.0, abs=0.01)
    course = read_course(fan, NOW)
    assert course
    assert course.years == pytest.approx(2.0, abs=0.01)


def test_found_dead_again_without_work_then_one_failure(fan: Fan) -> None:
    failed(fan, "2025-09-01", mended=False)
    failed(fan, "2026-05-01", mended=False)
    assert find().open == 0


@pytest.mark.parametrize("between", ["seen running", "machine replaced", "failed later"])
def test_found_dead_again_when_something_says_it_ran_then_two(fan: Fan, between: str) -> None:
    failed(fan, "2025-09-01", mended=False)
    if between == "seen running":
        walk(fan, "2025-12-01")
    elif between == "machine replaced":
        visited(fan, "2025-12-01").actions.create(fan=fan, kind="replaced", item="machine")
    later = {"failed_on": dt.date(2026, 4, 2)} if between == "failed later" else {}
    failed(fan, "2026-05-01", **later)
    assert find().open == 1


def test_find_again_then_nothing_is_written(fan: Fan) -> None:
    twice(fan)
    with CaptureQueriesContext(connection) as asked:
        found = find(days=3)
    writes = [q["sql"] for q in asked if q["sql"].startswith(("INSERT", "UPDATE", "DELETE"))]
    assert (found.raised, found.updated, found.open, writes) == (0, 0, 1, [])


def test_more_fans_then_no_more_statements(fan: Fan) -> None:
    twice(fan)
    with CaptureQueriesContext(connection) as few:
        find()
    for number in range(2, 6):
        other = make_fan(f"EF-{number}")
        failed(other, "2026-01-01")
        failed(other, "2026-05-01")
    find()
    with CaptureQueriesContext(connection) as more:
        find()
    assert len(more) == len(few)


def test_failed_anew_then_the_open_pattern_counts_it(fan: Fan) -> None:
    twice(fan)
    failed(fan, "2026-06-10")
    assert (find().updated, states()) == (1, [("switch", "open", 3)])


def test_closed_then_closed_until_it_fails_anew(fan: Fan, mara: Person) -> None:
    close(twice(fan), mara)
    quiet = find(days=1)
    failed(fan, "2026-06-18")
    assert (quiet.open, find(days=5).raised_again, states()) == (0, 1, [("switch", "open", 3)])


def test_closed_when_an_old_failure_is_brought_in_then_stays_closed(fan: Fan, mara: Person) -> None:
    close(twice(fan), mara)
    failed(fan, "2024-06-18")
    assert (find(days=1).open, states()) == (0, [("switch", "closed", 2)])


def test_corrected_away_then_lapses_and_comes_back_with_the_record(fan: Fan) -> None:
    twice(fan)
    newest = Visit.objects.order_by("-began_at").first()
    wrong = corrected(newest.findings.get(), loss_of_function=False)
    lapsed = find(days=1).lapsed, states(), PatternClosing.objects.get().closed_by
    corrected(wrong, loss_of_function=True)
    again = find(days=2).raised_again
    assert (lapsed, again) == ((1, [("switch", "lapsed", 2)], None), 1)


def test_closing_then_who_when_and_why_stay(fan: Fan, mara: Person) -> None:
    row = close(twice(fan), mara, cause=" loosened screws ", reason="")
    assert (row.closed_by, row.cause, row.reason, row.failures, row.pattern.state) == (
        mara, "loosened screws", "", 2, "closed",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("words", "error", "told"),
    [
        ({"reason": " "}, RegisterError, "neither a cause nor a reason"),
        ({"reason": "x" * 251}, RegisterError, "251 characters"),
        ({"cause": "a\u202eb"}, RegisterError, "nobody can see"),
        ({"failures": 1}, NotAsSeenError, "2 failures are on record, you saw 1"),
    ],
)
def test_closing_with_wrong_words_then_refused(
    fan: Fan, mara: Person, words: dict[str, Any], error: type[Exception], told: str
) -> None:
    pattern = twice(fan)
    with pytest.raises(error, match=told):
        close(pattern, mara, **words)


def test_closing_twice_then_told_of(fan: Fan, mara: Person) -> None:
    pattern = twice(fan)
    close(pattern, mara)
    with pytest.raises(NotAsSeenError, match="closed already"):
        close(pattern, mara)


def test_closing_by_a_technician_then_denied(fan: Fan, theo: Person) -> None:
    with pytest.raises(PermissionDenied):
        close(twice(fan), theo)


def test_closing_what_is_not_there_then_told_of(mara: Person) -> None:
    with pytest.raises(NoSuchPatternError):
        close_pattern(pattern_id=7, words=Words(2, "worn"), by=mara, now=NOW)


def test_command_then_what_it_came_to(fan: Fan) -> None:
    failed(fan, "2025-09-01")
    failed(fan, "2026-05-01")
    out = StringIO()
    call_command("find_patterns", "--json", stdout=out)
    told = json.loads(out.getvalue())
    assert (told["losses"], told["raised"], told["open"]) == (2, 1, 1)
