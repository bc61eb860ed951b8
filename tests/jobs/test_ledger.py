"""Who has a job in hand: one at a time, for a while, and not for ever."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from schedules.jobs import ledger, ranges
from schedules.jobs.ledger import MARGIN, MOST_TRIES, WAITS, fail, finish, let_go, put_off, take
from schedules.jobs.timetable import ENTRIES
from schedules.models import DueState, Job
from tests.schedules.fans import make_fan

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 15, 12, 1, tzinfo=UTC)
ENTRY = ENTRIES["reckon every fan"]
TURN = ENTRY.turn(NOW)


@pytest.fixture
def entry_row(db: None) -> Job:
    """The entry's row, never run."""
    return Job.objects.create(entry=ENTRY.name)


@pytest.fixture
def range_row(entry_row: Job) -> Job:
    """A range of fans that the turn left."""
    return Job.objects.create(entry=ENTRY.name, first_fan=1, last_fan=9, turn=TURN)


def taken(claim: str = "a", now: datetime = NOW, turn: datetime = TURN) -> Job | None:
    return take(ENTRY, None, turn, claim, now)


def taken_range(claim: str = "a", now: datetime = NOW) -> Job | None:
    return take(ENTRY, (1, 9), TURN, claim, now)


def test_turn_when_never_done_then_taken_for_its_time(entry_row: Job) -> None:
    job = taken()
    assert job
    assert (job.claimed_until, job.tries) == (NOW + ENTRY.limit + MARGIN, 1)


def test_turn_when_in_hand_then_nobody_elses(entry_row: Job) -> None:
    taken("a")
    assert taken("b") is None


def test_turn_when_done_then_not_taken_again_and_the_next_is(entry_row: Job) -> None:
    finish(taken() or entry_row, 3, NOW)
    next_week = NOW + ENTRY.every
    assert (taken("b"), bool(taken("c", next_week, ENTRY.turn(next_week)))) == (None, True)


def test_turn_when_an_older_one_comes_late_then_superfluous(entry_row: Job) -> None:
    finish(taken() or entry_row, 3, NOW)
    assert taken("b", turn=TURN - ENTRY.every) is None


def test_turn_when_its_holder_is_silent_too_long_then_anothers(entry_row: Job) -> None:
    taken("a")
    later = taken("b", NOW + ENTRY.limit + MARGIN)
    assert later
    assert (later.claim, later.tries) == ("b", 2)


def test_holder_when_its_time_was_up_then_its_word_counts_no_more(entry_row: Job) -> None:
    late = taken("a")
    taken("b", NOW + ENTRY.limit + MARGIN)
    assert late
    assert (finish(late, 3, NOW), fail(late, "x", NOW), put_off(late, "x", NOW)) == (
        False, False, False,
    )  # fmt: skip


def test_message_when_handed_out_again_after_a_death_then_taken_over(range_row: Job) -> None:
    taken_range("a")
    again = taken_range("a")
    assert again
    assert again.tries == 2


def test_job_when_its_worker_died_twice_then_it_rests(range_row: Job) -> None:
    for _ in range(2):
        taken_range("a")
    assert taken_range("a") is None
    range_row.refresh_from_db()
    assert (range_row.rest_until, range_row.claim) == (NOW + WAITS[1], "")


def test_job_when_it_fails_then_waits_longer_each_time_and_is_parked(range_row: Job) -> None:
    now, rests = NOW, []
    for number in range(MOST_TRIES):
        fail(taken_range(str(number), now) or range_row, "RuntimeError: bad", now)
        range_row.refresh_from_db()
        rests.append(range_row.rest_until)
        now = range_row.rest_until or now
    assert [b - a for a, b in zip([NOW, *rests], rests[:-1], strict=False)] == list(WAITS)
    assert (range_row.parked_at, range_row.fault) == (now, "RuntimeError: bad")
    assert taken_range("again", now + timedelta(days=9)) is None


def test_job_when_taken_up_too_often_without_a_word_then_parked(range_row: Job) -> None:
    Job.objects.filter(pk=range_row.pk).update(tries=MOST_TRIES)
    assert taken_range() is None
    range_row.refresh_from_db()
    assert (range_row.parked_at, "never ended" in range_row.fault) == (NOW, True)


def test_trouble_around_us_then_counts_as_no_try(range_row: Job) -> None:
    put_off(taken_range() or range_row, "connection refused", NOW)
    range_row.refresh_from_db()
    assert (range_row.tries, range_row.rest_until) == (0, NOW + ledger.PASSING)


def test_parked_job_when_let_go_then_as_if_never_tried(range_row: Job) -> None:
    parked = {"parked_at": NOW, "tries": MOST_TRIES, "sent_at": NOW}
    Job.objects.filter(pk=range_row.pk).update(**parked)
    assert (let_go(job_id=range_row.pk), let_go(job_id=range_row.pk)) == (1, 0)
    again = taken_range()
    assert again
    assert again.tries == 1


def test_range_when_done_then_gone_and_its_turn_counts_it(range_row: Job, entry_row: Job) -> None:
    finish(taken() or entry_row, 0, NOW)
    finish(taken_range() or range_row, 7, NOW)
    assert list(Job.objects.values_list("first_fan", "count", "ended_at")) == [(0, 7, NOW)]


def test_range_when_it_fails_for_good_then_halved_until_few_fans_wait(
    range_row: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    fans = [make_fan(f"EF-{number}").pk for number in range(8)]
    Job.objects.filter(pk=range_row.pk).update(
        first_fan=fans[0], last_fan=fans[-1], tries=MOST_TRIES - 1
    )
    monkeypatch.setattr(ranges, "SMALLEST", 2)
    while job := Job.objects.ranges().filter(parked_at=None).first():
        first, last = job.fans or (0, 0)
        found = take(ENTRY, (first, last), TURN, f"{first}", NOW)
        assert found
        if first <= fans[4] <= last:
            fail(found, "RuntimeError: fan 5 is bad", NOW)
        else:
            finish(found, last - first + 1, NOW)
    assert [job.fans for job in Job.objects.parked()] == [(fans[4], fans[5])]


def test_ranges_when_laid_out_then_leave_parked_fans_out(
    entry_row: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    fans = [make_fan(f"EF-{number}").pk for number in range(7)]
    Job.objects.create(entry="x", first_fan=fans[2], last_fan=fans[3], parked_at=NOW)
    monkeypatch.setattr(ranges, "BLOCK", 2)
    found = [job.fans for job in ranges.lay_out(ENTRY, TURN)]
    assert found == [(fans[0], fans[1]), (fans[4], fans[5]), (fans[6], fans[6])]


def test_ranges_of_changed_fans_when_one_is_stale_then_that_one(entry_row: Job) -> None:
    fans = [make_fan(f"EF-{number}").pk for number in range(3)]
    DueState.objects.exclude(fan=fans[1]).update(reckoned_revision=1, revision=1)
    found = [job.fans for job in ranges.lay_out(ENTRIES["reckon changed fans"], TURN)]
    assert found == [(fans[1], fans[1])]


def test_ranges_when_some_are_left_then_those_and_no_more(range_row: Job) -> None:
    make_fan()
    assert [job.fans for job in ranges.lay_out(ENTRY, TURN)] == [(1, 9)]


def at_once(work: list[Callable[[], Any]]) -> list[Any]:
    """What each gives, all begun in the same moment on connections of their own."""
    gate = Barrier(len(work))

    def begin(each: Callable[[], Any]) -> Any:
        try:
            gate.wait(20)
            return each()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(work)) as pool:
        return list(pool.map(begin, work))


# SQLite's database of tests lies in memory, where threads get an error at once instead of waiting.
@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_turn_when_many_reach_for_it_then_one_has_it(entry_row: Job) -> None:
    found = at_once([lambda claim=str(n): taken(claim) for n in range(6)])
    assert sum(job is not None for job in found) == 1
