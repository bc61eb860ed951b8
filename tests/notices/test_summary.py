"""The manager's weekly summary: only what the record of that week supports."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Fan, Person
from schedules.models import DueChange, Notice
from schedules.notices.summary.week import Booked, Walks, WeekPast
from tests.bookings.booked import booked, technician
from tests.notices.letters import write
from tests.schedules.fans import make_fan, walk
from visits.models import Check, Decision, Finding, NotReached, Recommendation

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
NOW = dt.datetime(2026, 6, 15, 13, tzinfo=dt.UTC)
"""Monday, 8:00 in Chicago; the week told of is 8 to 14 June, 2026-W24."""
WEEK = "2026-06-{:02}"
TUESDAY = dt.date(2026, 6, 9)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


@pytest.fixture
def mara(db: None) -> Person:
    return Person.objects.create_user(
        "mara", first_name="Mara", role=Person.Role.MANAGER, email="mara@rounds.example"
    )


def week(fan: Fan) -> WeekPast:
    return WeekPast(dt.date(2026, 6, 8), fan.site.zone, NOW)


def text() -> str:
    write(NOW)
    return Notice.objects.get(kind="summary").text


def looked(fan: Fan, day: int, verdicts: dict[str, str] | None = None) -> Check:
    return walk(fan, WEEK.format(day), verdicts)


def test_summary_then_once_of_each_week_to_those_who_manage(fan: Fan, mara: Person) -> None:
    for hours in (0, 1, 24, 7 * 24):
        write(NOW + dt.timedelta(hours=hours))
    told = Notice.objects.filter(kind="summary").order_by("pk")
    assert [(n.address, n.period) for n in told] == [
        ("mara@rounds.example", "2026-W24"),
        ("mara@rounds.example", "2026-W25"),
    ]


# ISO 8601: Monday 4 January 2027 follows week 53 of 2026.
def test_summary_at_new_year_then_of_the_week_before(fan: Fan, mara: Person) -> None:
    write(dt.datetime(2027, 1, 4, 15, tzinfo=dt.UTC))
    assert Notice.objects.get(kind="summary").period == "2026-W53"


@pytest.mark.parametrize(
    ("due", "told"),
    [
        ("2026-06-09", Walks(1, 1, 0, 0)),
        ("2026-06-08", Walks(1, 0, 1, 0)),
        (None, Walks(1, 0, 0, 1)),
    ],
)
def test_walks_then_against_the_day_that_was_due(fan: Fan, due: str | None, told: Walks) -> None:
    check = looked(fan, 9)
    if due:
        DueChange.objects.create(
            fan=fan, changed_at=check.visit.received_at, due_on_before=due, due_on="2026-08-09"
        )
    assert week(fan).walks == told


@pytest.mark.parametrize("day", ["2026-06-07", "2026-06-15"])
def test_walks_when_made_in_another_week_then_not_counted(fan: Fan, day: str) -> None:
    walk(fan, day)
    assert week(fan).walks.visits == 0


@pytest.mark.parametrize(("day", "made"), [(9, 1), (10, 0)])
def test_bookings_then_against_visits_of_that_day(fan: Fan, day: int, made: int) -> None:
    booked(fan.site, technician(), TUESDAY, now=NOW - 9 * DAY)
    looked(fan, day)
    assert week(fan).booked == Booked(1, made)


def test_not_reached_then_by_reason_and_name(fan: Fan, mara: Person) -> None:
    NotReached.objects.create(
        visit=looked(fan, 9).visit, fan=fan, reason="no_access", note="hatch\nlocked"
    )
    told = text()
    assert "No access: 1." in told
    assert "  EF-1, Roof of EF-1: the fan, no access (hatch locked)\n" in told


@pytest.mark.parametrize(
    ("before", "now", "new"),
    [
        (None, "stop", ["stop"]),
        ("within", "act", ["act"]),
        ("act", "act", []),
        ("act", "stop", ["stop"]),
        ("stop", "act", []),
        (None, "watch", []),
    ],
)
def test_found_then_only_what_the_look_before_did_not_have(
    fan: Fan, before: str | None, now: str, new: list[str]
) -> None:
    if before:
        walk(fan, "2026-05-04", {"guard": before})
    looked(fan, 9, {"guard": now})
    assert [each.verdict for each in week(fan).found] == new


def test_found_when_found_twice_in_the_week_then_the_worst_once(fan: Fan) -> None:
    looked(fan, 9, {"guard": "act"})
    looked(fan, 10, {"guard": "stop"})
    assert [(e.verdict, e.on.day) for e in week(fan).found] == [("stop", 10)]


def test_found_when_a_person_wrote_it_down_then_counted(fan: Fan) -> None:
    Finding.objects.create(
        visit=looked(fan, 9).visit, fan=fan, subject="hinge", item="hinge", severity="critical",
        verdict="stop",
    )  # fmt: skip
    assert [each.subject for each in week(fan).found] == ["hinge"]


def test_found_then_told_by_fan_stops_first(fan: Fan, mara: Person) -> None:
    looked(fan, 9, {"curb": "act", "guard": "stop"})
    looked(make_fan("EF-2"), 9, {"curb": "act"})
    told = text()
    assert "Fans with a new stop: 1; with something else new to act on: 1." in told
    assert "  EF-1, Roof of EF-1, Tue 9 Jun 2026: stop: guard; act: curb\n" in told


def failed(fan: Fan, **facts: object) -> Finding:
    told = {"subject": "belt", "item": "belt", "severity": "critical", "verdict": "stop"}
    return Finding.objects.create(
        visit=looked(fan, 10).visit, fan=fan, loss_of_function=True, **{**told, **facts}
    )


def advised(fan: Fan, answer: str = "", on: str = "2026-05-20", subject: str = "belt") -> None:
    row = Recommendation.objects.create(
        visit=walk(fan, "2026-05-04").visit, fan=fan, subject=subject, text="Replace the belt."
    )
    if answer:
        Decision.objects.create(
            fan=fan, recommendation=row, subject=subject, answer=answer, decided_on=on,
            received_at=NOW,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("answer", "counts"),
    [("", True), ("declined", True), ("not_now", True), ("question", True), ("go_ahead", False)],
)
def test_failure_when_advice_before_it_led_to_nothing_then_told(
    fan: Fan, answer: str, counts: bool
) -> None:
    advised(fan, answer)
    failed(fan)
    assert [each.advice is not None for each in week(fan).failures] == [counts]


def test_failure_when_the_advice_was_about_something_else_then_not_told(fan: Fan) -> None:
    advised(fan, subject="hinge")
    failed(fan)
    assert week(fan).failures[0].advice is None


def test_failure_when_declined_only_after_it_then_unanswered(fan: Fan) -> None:
    advised(fan, "declined", on="2026-06-12")
    failed(fan)
    (told,) = week(fan).failures
    assert (told.advice is not None, told.answer) == (True, None)


@pytest.mark.parametrize("facts", [{"call_back": True}, {"loss_of_function": False}])
def test_failure_when_none_or_a_call_back_then_not_counted(
    fan: Fan, facts: dict[str, bool]
) -> None:
    finding = failed(fan)
    Finding.objects.filter(pk=finding.pk).update(**facts)
    assert week(fan).failures == []


def test_failure_then_says_what_was_advised_and_claims_no_cause(fan: Fan, mara: Person) -> None:
    advised(fan, "declined")
    failed(fan)
    told = text()
    assert "Losses of function: 1; after advice declined, put off or not answered: 1." in told
    assert "That one followed the other does not show that it caused it." in told
    assert "Advised Mon 4 May 2026: Replace the belt; declined, Wed 20 May 2026." in told


def test_answers_then_of_the_week_by_kind(fan: Fan, mara: Person) -> None:
    advised(fan, "go_ahead", on="2026-06-14")
    advised(fan, "declined", on="2026-06-15")
    told = text()
    assert ("Go ahead: 1." in told, "Declined" in told) == (True, False)


def test_emails_when_given_up_then_told_whose(fan: Fan, mara: Person) -> None:
    Notice.objects.create(
        kind="advice", addressee="x", period="y", person=mara, address="mara@rounds.example",
        subject="s", text="t", html="h", owed_at=NOW, send_after=NOW, given_up_at=NOW - 2 * DAY,
        fault="550 no such box",
    )  # fmt: skip
    told = text()
    assert "Emails sent: 0; given up: 1." in told
    assert "Mara, mara@rounds.example: 550 no such box" in told


def test_summary_when_nothing_happened_then_says_so(fan: Fan, mara: Person) -> None:
    told = text()
    assert "Walk-throughs made: 0." in told
    assert "NOT REACHED\nNothing." in told


def test_summary_when_more_happened_then_asks_no_more_questions(fan: Fan) -> None:
    counts = []
    for number in range(2):
        each = make_fan(f"EX-{number}")
        advised(each, "declined")
        failed(each)
        told = week(fan)
        with CaptureQueriesContext(connection) as asked:
            for part in ("walks", "booked", "not_reached", "promises", "no_way_up", "found",
                         "failures", "letters"):  # fmt: skip
                getattr(told, part)
        counts.append(len(asked))
    assert counts[0] == counts[1]
