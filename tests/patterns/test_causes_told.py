"""A cause told on a visit closes its pattern, until it is taken back or the item fails anew."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from fleet.models import Fan, Person
from schedules.api.patterns import tell_closing
from schedules.causes.services import why_fan_failed
from schedules.fan_page.gathering import read_fan_file
from schedules.fan_page.repeats import repeats_of
from schedules.models import Pattern, PatternClosing
from schedules.patterns.closing import Words, close_pattern
from schedules.patterns.finding import find_patterns
from schedules.services import log_visit
from schedules.wording.patterns import closing_text
from tests.api.asking import at_once
from tests.api.logs import VISITS, corrected, walk
from tests.patterns.failing import NOW, failed
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
LATER = NOW + dt.timedelta(days=30)


@pytest.fixture
def pattern(db: None) -> Pattern:
    """A switch that failed twice, last found on 1 May."""
    fan = make_fan()
    failed(fan, "2025-09-01")
    failed(fan, "2026-05-01")
    find_patterns(now=NOW)
    return Pattern.objects.get()


def telling(fan: Fan, cause: str, on: str = "2026-05-20T09:10", **finding: Any) -> dict[str, Any]:
    """A visit whose finding tells a cause."""
    facts = {"fan": fan.tag, "item": "switch", "severity": "degraded", "cause": cause, **finding}
    return walk(fan, on, findings=[facts])


def log(payload: dict[str, Any], by: Person | None = None) -> dict[str, Any]:
    log_visit(payload=payload, by=by, now=NOW)
    return payload


def state(pattern: Pattern) -> str:
    pattern.refresh_from_db()
    return pattern.state


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ({"cause": "Loose connection"}, "closed"),
        ({"cause": "loose_connection", "on": "2026-05-01T17:00"}, "closed"),
        ({"cause": "loose_connection", "on": "2026-04-30T17:00"}, "open"),
        ({"cause": "not known"}, "open"),
        ({"cause": "other"}, "open"),
        ({"cause": "other", "note": "a raccoon sat on the lever"}, "closed"),
        ({"cause": ""}, "open"),
        ({"cause": "wear", "item": "belt"}, "open"),
    ],
)
def test_visit_that_tells_a_cause_then_closes_the_pattern_of_that_item(
    pattern: Pattern, told: dict[str, Any], left: str
) -> None:
    log(telling(pattern.fan, **told))
    assert state(pattern) == left


def test_closing_then_names_visit_cause_and_who_told_it(pattern: Pattern, theo: Person) -> None:
    payload = log(telling(pattern.fan, "loose_connection"), theo)
    row = PatternClosing.objects.get()
    assert (str(row.visit_id), row.cause, row.closed_by, row.failures) == (
        payload["id"], "loose_connection", theo, 2,
    )  # fmt: skip


@pytest.mark.parametrize(("cause", "left"), [("", "open"), ("wear", "closed")])
def test_visit_corrected_then_open_again_unless_it_still_tells_a_cause(
    pattern: Pattern, cause: str, left: str
) -> None:
    payload = log(telling(pattern.fan, "loose_connection"))
    log(corrected(payload, findings=telling(pattern.fan, cause)["findings"]))
    newest = PatternClosing.objects.last()
    assert (state(pattern), newest and newest.cause) == (left, cause or "loose_connection")


def test_closed_by_somebody_then_no_correction_opens_it(pattern: Pattern, mara: Person) -> None:
    payload = log(telling(pattern.fan, ""))
    Pattern.objects.update(state="closed")
    PatternClosing.objects.create(
        pattern=pattern, closed_at=NOW, closed_by=mara, reason="moved", failures=2
    )
    log(corrected(payload))
    assert state(pattern) == "closed"


def test_failure_told_with_its_cause_then_counted_by_the_next_turn_and_closed(
    pattern: Pattern,
) -> None:
    log(telling(pattern.fan, "wear", "2026-06-10T09:10", loss_of_function=True))
    before = state(pattern)
    found = find_patterns(now=NOW)
    assert (before, state(pattern), pattern.failures, found.followed) == ("open", "closed", 3, 1)


def test_failed_anew_then_open_until_a_cause_is_told_again(pattern: Pattern) -> None:
    log(telling(pattern.fan, "wear"))
    failed(pattern.fan, "2026-06-10")
    found = find_patterns(now=LATER)
    assert (found.raised_again, found.open, state(pattern)) == (1, 1, "open")


def test_cause_on_record_before_the_pattern_was_raised_then_closed_in_that_turn() -> None:
    fan = make_fan()
    failed(fan, "2025-09-01")
    failed(fan, "2026-05-01", cause="wear")
    found, again = find_patterns(now=NOW), find_patterns(now=LATER)
    assert (found.raised, found.followed, found.open, again.followed) == (1, 1, 0, 0)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_causes_told_by_four_at_once_then_closed_once(pattern: Pattern, theo: Person) -> None:
    sent = [telling(pattern.fan, "wear", on=f"2026-05-2{n}T09:10") for n in range(4)]
    at_once(theo, [lambda phone, each=each: phone.post(VISITS, each) for each in sent])
    find_patterns(now=NOW)
    assert (state(pattern), PatternClosing.objects.count()) == ("closed", 1)


def test_cause_taken_back_then_said_and_no_owner_reads_it(pattern: Pattern) -> None:
    payload = log(telling(pattern.fan, "gremlins"))
    log(corrected(payload, findings=telling(pattern.fan, "")["findings"]))
    [closing] = Pattern.objects.with_closings().get().closings.all()
    assert closing_text(closing).endswith("That visit was corrected since.")
    assert [tell_closing(closing, for_us=for_us)["cause"] for for_us in (True, False)] == [
        "gremlins", "",
    ]  # fmt: skip


@pytest.mark.parametrize("words", [Words(2, cause="Loose connection"), Words(2, reason="seen to")])
def test_pattern_when_somebody_closed_it_with_a_cause_then_its_fan_guesses_no_more(
    pattern: Pattern, dana: Person, words: Words
) -> None:
    """A cause is not determined until a person records one; a reason is none."""
    close_pattern(pattern_id=pattern.pk, words=words, by=dana, now=NOW)
    fan = Fan.objects.get(pk=pattern.fan_id)
    [said] = repeats_of(read_fan_file(fan, NOW))
    assert ("Cause as written down: a loose or burnt connection." in said) == bool(words.cause)
    today = NOW.date()
    guessed = why_fan_failed(fan.pk, today=today, reader=dana)
    assert [each.loss.item for each in guessed] == ([] if words.cause else ["switch"])
    failed(fan, "2026-06-01")
    assert len(why_fan_failed(fan.pk, today=today, reader=dana)) == 1
