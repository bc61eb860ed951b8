"""Turns of the timetable, and what is done of them in place."""

from __future__ import annotations

import signal
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any, NoReturn

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import OperationalError

from config.celery import app
from fleet.models import OwnerLink
from fleet.services.guesses import count_guess
from fleet.services.links import make_link
from schedules.jobs import clean_up as cleaning
from schedules.jobs import waking
from schedules.jobs.ledger import reopen
from schedules.jobs.tasks import KILL_AFTER_S
from schedules.jobs.timetable import ENTRIES, TIMETABLE
from schedules.jobs.waking import wake
from schedules.models import DueState, Job
from tests.jobs.install import Install, wait_for
from tests.schedules.fans import make_fan

NOW = datetime(2026, 6, 15, 12, 1, tzinfo=UTC)
NAME = "reckon changed fans"


# 14 June 2026 was a Sunday.
@pytest.mark.parametrize(
    ("name", "turn", "next_turn"),
    [
        ("reckon changed fans", "2026-06-15T12:00", "2026-06-15T12:10"),
        ("fit failure odds", "2026-06-14T03:20", "2026-06-21T03:20"),
        ("learn what waiting costs", "2026-06-14T03:40", "2026-06-21T03:40"),
        ("reckon every fan", "2026-06-14T03:30", "2026-06-21T03:30"),
        ("write notices", "2026-06-15T11:35", "2026-06-15T12:05"),
        ("send notices", "2026-06-15T12:00", "2026-06-15T12:02"),
        ("sweep photos", "2026-06-15T02:50", "2026-06-16T02:50"),
        ("clean up", "2026-06-15T03:10", "2026-06-16T03:10"),
        ("find patterns", "2026-06-15T04:20", "2026-06-16T04:20"),
    ],
)
def test_turns_then_at_their_hours(name: str, turn: str, next_turn: str) -> None:
    entry = ENTRIES[name]
    found = (entry.turn(NOW), entry.next_turn(NOW))
    assert [f"{at:%Y-%m-%dT%H:%M}" for at in found] == [turn, next_turn]


def test_turn_when_its_second_comes_then_it() -> None:
    entry = ENTRIES[NAME]
    at = entry.turn(NOW)
    assert (entry.turn(at), entry.turn(at - timedelta(microseconds=1))) == (at, at - entry.every)


def test_longest_job_then_shorter_than_a_message_stays_hidden() -> None:
    longest = max(entry.limit for entry in TIMETABLE) + timedelta(seconds=KILL_AFTER_S)
    hidden_s = settings.CELERY_BROKER_TRANSPORT_OPTIONS["visibility_timeout"]
    assert longest < timedelta(seconds=hidden_s)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("task_acks_late", True),
        ("task_reject_on_worker_lost", True),
        ("worker_prefetch_multiplier", 1),
        ("accept_content", ["json"]),
        ("task_ignore_result", True),
        ("result_backend", None),
        ("broker_connection_retry_on_startup", True),
    ],
)
def test_celery_then_set_for_work_that_may_not_be_lost(name: str, value: Any) -> None:
    assert app.conf[name] == value


@pytest.mark.django_db
def test_waking_when_first_then_everything_once_and_nothing_again() -> None:
    make_fan()
    assert (wake(NOW), wake(NOW), DueState.objects.stale().count()) == (len(TIMETABLE), 0, 0)


@pytest.mark.django_db
def test_waking_when_turns_were_missed_then_once_however_many() -> None:
    wake(NOW)
    late = NOW + timedelta(days=30)
    assert (wake(late), wake(late)) == (len(TIMETABLE), 0)


@pytest.mark.django_db
def test_waking_when_a_turn_is_reopened_then_that_entry_once_more() -> None:
    wake(NOW)
    reopen("plan asked weeks")
    assert (wake(NOW), wake(NOW)) == (1, 0)


@pytest.mark.django_db
def test_waking_when_the_next_turn_has_come_then_that_entry_alone() -> None:
    wake(NOW)
    wake(NOW + timedelta(minutes=1))
    turns = dict(Job.objects.values_list("entry", "turn"))
    assert turns["send notices"] == NOW + timedelta(minutes=1)
    assert turns[NAME] == NOW - timedelta(minutes=1)


@pytest.mark.django_db
def test_range_when_left_by_a_process_that_died_then_done_at_the_next_waking() -> None:
    fan = make_fan()
    wake(NOW)
    DueState.objects.update(revision=9)
    Job.objects.create(
        entry=NAME, first_fan=fan.pk, last_fan=fan.pk, turn=NOW, claim="dead", tries=1,
        claimed_until=NOW,
    )  # fmt: skip
    wake(NOW + timedelta(seconds=20))
    assert (Job.objects.ranges().count(), DueState.objects.stale().count()) == (0, 0)


def failing(error: Exception) -> Any:
    """The entry as it would be if it failed so."""

    def run(*_: Any) -> NoReturn:
        raise error

    return replace(ENTRIES["clean up"], run=run)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("error", "told"),
    [
        (RuntimeError("bad row"), (1, "RuntimeError: bad row")),
        (OperationalError("server closed the connection"), (0, "server closed the connection")),
        (OSError("No space left"), (0, "No space left")),
    ],
)
def test_job_when_it_fails_then_its_reason_is_kept_and_the_others_run(
    monkeypatch: pytest.MonkeyPatch, error: Exception, told: tuple[int, str]
) -> None:
    monkeypatch.setitem(ENTRIES, "clean up", failing(error))
    wake(NOW)
    job = Job.objects.get(entry="clean up")
    assert ((job.tries, job.fault), Job.objects.filter(ended_at=None).count()) == (told, 1)


@pytest.mark.django_db
def test_check_when_nothing_ran_then_says_what() -> None:
    with pytest.raises(CommandError, match="fit failure odds, learn what waiting costs, reckon c"):
        call_command("timetable", "--check")


@pytest.mark.django_db
def test_check_when_everything_ran_then_content() -> None:
    call_command("timetable", "--once")
    call_command("timetable", "--check")


@pytest.mark.django_db
def test_cleaning_when_rows_are_many_then_all_in_small_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fan = make_fan()
    old = NOW - cleaning.CHANGES_KEPT - timedelta(days=1)
    for moment in (old, old, old, NOW):
        fan.due_changes.create(changed_at=moment)
    monkeypatch.setattr(cleaning, "AT_ONCE", 2)
    assert (cleaning.clean_up(now=NOW).changes, fan.due_changes.count()) == (3, 1)


@pytest.mark.django_db
def test_cleaning_when_links_are_long_over_then_gone_but_those_that_answers_name() -> None:
    fan = make_fan()
    old = NOW - cleaning.LINKS_KEPT - timedelta(days=31)
    _unused, answered, recent = (
        make_link(owner=fan.site.owner, now=moment) for moment in (old, old, NOW)
    )
    fan.told_running.create(
        link=answered, answer="running", told_by="Ada", told_on=old.date(), received_at=old
    )
    count_guess(address="a", now=old)
    cleaned = cleaning.clean_up(now=NOW)
    assert (cleaned.links, cleaned.guesses) == (1, 1)
    assert set(OwnerLink.objects.all()) == {answered, recent}


def test_thread_when_told_to_stop_then_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    woken: list[datetime] = []
    monkeypatch.setattr(waking, "wake", woken.append)
    thread = waking.TimetableThread()
    thread.start()
    thread.stop()
    assert (thread.is_alive(), len(woken)) == (False, 1)


def test_command_when_running_then_does_all_and_stops_on_sigterm(alone: Install) -> None:
    process = subprocess.Popen([sys.executable, "manage.py", "timetable"], **alone.where)
    wait_for(alone.is_done)
    process.send_signal(signal.SIGTERM)
    assert (process.wait(60), alone.stale_fans()) == (0, [])
