"""What stood around each failure: looks, events, parts, advice, warranty, when it died."""

from __future__ import annotations

import datetime as dt

import pytest

from fleet.models import Fan
from schedules.models import Pattern
from schedules.patterns.evidence import Evidence, read_evidence
from schedules.patterns.finding import find_patterns
from tests.patterns.failing import NOW, advised, failed, visited
from tests.schedules.fans import make_fan, walk
from visits.models import Action, Event

pytestmark = pytest.mark.django_db
FIRST, SECOND = dt.date(2025, 9, 1), dt.date(2026, 5, 1)


@pytest.fixture
def fan(db: None) -> Fan:
    return make_fan()


def evidence() -> Evidence:
    find_patterns(now=NOW)
    return read_evidence(Pattern.objects.get())


def twice(fan: Fan, **second: object) -> Evidence:
    failed(fan, f"{FIRST}")
    failed(fan, f"{SECOND}", **second)
    return evidence()


@pytest.mark.parametrize("seen_on", ["2026-03-01", None])
def test_failure_of_unknown_day_then_between_last_run_or_renewal_and_found(
    fan: Fan, seen_on: str | None
) -> None:
    if seen_on:
        walk(fan, seen_on)
        walk(fan, "2026-04-01", running="dead")
    last = twice(fan).failures[1]
    expected = dt.date.fromisoformat(seen_on) if seen_on else FIRST
    assert (last.failed_on, last.ran_on, last.found_on) == (None, expected, SECOND)


def test_failure_of_known_day_then_that_day_alone(fan: Fan) -> None:
    walk(fan, "2026-03-01")
    last = twice(fan, failed_on=dt.date(2026, 4, 20)).failures[1]
    assert (last.failed_on, last.ran_on, last.day) == (
        dt.date(2026, 4, 20), None, dt.date(2026, 4, 20),
    )  # fmt: skip


def test_common_when_one_look_stands_before_both_then_nothing_repeats(fan: Fan) -> None:
    walk(fan, "2025-08-01", {"motor_vents": "watch"})
    assert twice(fan).common == []


def test_failure_told_for_after_it_was_found_then_of_that_day(fan: Fan) -> None:
    last = twice(fan, failed_on=dt.date(2026, 5, 20)).failures[1]
    assert (last.failed_on, last.found_on) == (SECOND, SECOND)
    assert Pattern.objects.get().last_on == SECOND


def test_looks_then_the_last_before_and_the_first_after_with_what_was_at_fault(fan: Fan) -> None:
    walk(fan, "2026-02-01", {"noise": "watch"})
    walk(fan, "2026-03-01", {"vibration_felt": "act", "noise": "within"})
    walk(fan, "2026-05-20", {"hinge": "watch"})
    walk(fan, "2026-06-01", {"hinge": "act"})
    last = twice(fan).failures[1]
    looks = [last.looked_before, last.looked_after]
    assert [(f"{look.on}", look.verdicts) for look in looks if look] == [
        ("2026-03-01", {"vibration_felt": "act"}),
        ("2026-05-20", {"hinge": "watch"}),
    ]


def test_common_then_what_was_at_fault_before_each(fan: Fan) -> None:
    walk(fan, "2025-08-01", {"vibration_felt": "act", "noise": "watch"})
    walk(fan, "2026-04-01", {"vibration_felt": "watch", "running": "stop"})
    assert twice(fan).common == ["vibration_felt"]


@pytest.mark.parametrize(
    ("ended", "told"), [("2026-04-01", 1), ("2026-03-31", 0), ("2026-05-01", 1), ("2026-05-02", 0)]
)
def test_events_then_those_of_thirty_days_before(fan: Fan, ended: str, told: int) -> None:
    event = Event.objects.create(
        kind="hood_cleaning", site=fan.site, started_on=ended, ended_on=ended, received_at=NOW,
        payload_sha256="0" * 64,
    )  # fmt: skip
    event.tipped_fans.add(fan)
    last = twice(fan).failures[1]
    assert [each.pk in last.tipped_at for each in last.events] == [True] * told


@pytest.mark.parametrize(("cause", "without"), [("", True), ("loose screws", False)])
def test_part_replaced_then_told_whether_a_cause_was_written_down(
    fan: Fan, cause: str, without: bool
) -> None:
    assert twice(fan, cause=cause).failures[1].without_cause is without


def test_failure_told_again_with_its_cause_then_that_is_its_cause(fan: Fan) -> None:
    failed(fan, "2025-09-01", cause="vibration")
    failed(fan, f"{SECOND}", mended=False, failed_on=SECOND)
    failed(fan, "2026-05-04", cause="loose_connection", mechanism="loosening")
    last = evidence().failures[-1]
    told = (last.cause, last.mechanism, len(last.replaced))
    assert told == ("loose_connection", "loosening", 1)


def test_failure_called_back_with_another_cause_then_that_one_counts(fan: Fan) -> None:
    failed(fan, "2026-05-10", call_back=True, cause="loose_connection")
    first, last = twice(fan, cause="vibration").failures
    assert (first.cause, last.cause) == ("", "loose_connection")


def test_cause_written_down_as_unknown_then_none(fan: Fan) -> None:
    last = twice(fan, cause="Unknown").failures[1]
    assert (last.cause, last.without_cause) == ("", True)


@pytest.mark.parametrize(("until", "is_in"), [("2026-05-01", True), ("2026-04-30", False)])
def test_warranty_then_told_of_the_machine_in_place(fan: Fan, until: str, is_in: bool) -> None:
    fan.machines.update(warranty_until=until)
    last = twice(fan).failures[1]
    assert (last.in_warranty, last.machine) == (is_in, fan.machines.get())


def test_call_backs_then_apart(fan: Fan) -> None:
    failed(fan, "2026-05-10", call_back=True)
    told = twice(fan)
    assert (len(told.failures), [f"{each.on}" for each in told.call_backs]) == (2, ["2026-05-10"])


@pytest.mark.parametrize(
    ("answer", "told"),
    [("declined", "declined"), ("not_now", "not_now"), ("", ""), ("go_ahead", None)],
)
def test_advice_before_a_failure_then_linked_unless_it_was_a_yes(
    fan: Fan, answer: str, told: str | None
) -> None:
    advised(fan, "2026-03-01", answer)
    found = twice(fan).failures[1].advised
    given = found and (found.answer.answer if found.answer else "")
    assert given == told


def test_advice_that_was_followed_by_a_repair_then_not_linked(fan: Fan) -> None:
    advised(fan, "2026-03-01")
    work = visited(fan, "2026-03-10")
    Action.objects.create(visit=work, fan=fan, kind="replaced", item="switch")
    assert twice(fan).failures[1].advised is None
