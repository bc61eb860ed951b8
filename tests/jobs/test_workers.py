"""Real workers, a real Redis: whatever is killed or forgotten, everything is done, and once."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress

import pytest
import redis

from schedules.jobs.timetable import ENTRIES
from tests.jobs.install import Install, wait_for

pytestmark = [pytest.mark.redis, pytest.mark.once]
RANGES = """
    INSERT INTO schedules_job
        (entry, first_fan, last_fan, turn, count, claim, tries, fault)
    SELECT 'reckon every fan', fan_id, fan_id + 1, '2026-06-14 03:30:00', 0, '', {tries}, ''
    FROM schedules_duestate WHERE fan_id % 2 = 1
"""
"""What a turn leaves that found three ranges in the fleet."""
SLOW = """
    CREATE TRIGGER slow BEFORE UPDATE ON schedules_duestate WHEN new.fan_id = 3 BEGIN
        SELECT count(*) FROM (
            WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c WHERE x < {rows})
            SELECT x FROM c
        );
    END
"""
"""Fan 3 takes seconds to be written, or longer than any test waits."""
SECONDS, FOR_EVER = 30_000_000, 9_000_000_000
LATER = """
    UPDATE schedules_job SET claimed_until = datetime(claimed_until, '-2 hours'),
        sent_at = datetime(sent_at, '-2 hours')
"""


def test_timetable_when_handed_out_then_a_worker_does_all_of_it_and_says_so_by_job(
    install: Install,
) -> None:
    with install.worker():
        install.manage("timetable", "--once")
        wait_for(install.is_done)
    assert install.stale_fans() == []
    lines = [json.loads(line) for line in install.log.read_text().splitlines() if line[:1] == "{"]
    done = [line for line in lines if line["event"] == "done"]
    assert {line["entry"] for line in done} >= {"reckon every fan"}
    assert [len(line["job"]) for line in done] == [36] * len(done)


def test_worker_when_killed_in_mid_range_then_its_range_is_done_again(install: Install) -> None:
    install.sql(RANGES.format(tries=0))
    install.sql(SLOW.format(rows=FOR_EVER))
    with install.worker():
        install.manage("timetable", "--once")
        os.kill(wait_for(lambda: install.at_work(3)), signal.SIGKILL)
        install.sql("DROP TRIGGER slow")
        wait_for(install.is_done)
    assert install.stale_fans() == []


def test_host_when_it_dies_and_redis_forgets_then_the_next_ones_do_everything(
    install: Install,
) -> None:
    install.sql(RANGES.format(tries=0))
    install.sql(SLOW.format(rows=FOR_EVER))
    with install.worker() as lost:
        install.manage("timetable", "--once")
        wait_for(lambda: install.at_work(3))
        with suppress(ProcessLookupError):
            os.killpg(lost.pid, signal.SIGKILL)
    redis.Redis.from_url(install.redis_url).flushall()
    install.sql("DROP TRIGGER slow")
    install.sql(LATER)
    with install.worker():
        install.manage("timetable", "--once")
        wait_for(install.is_done)
    assert install.stale_fans() == []


def test_worker_when_redis_restarts_under_its_job_then_it_lives_and_does_everything(
    install: Install,
) -> None:
    install.sql(RANGES.format(tries=0))
    install.sql(SLOW.format(rows=SECONDS))
    with install.worker() as worker:
        install.manage("timetable", "--once")
        wait_for(lambda: install.at_work(3))
        install.redis.kill()
        install.redis.wait()
        time.sleep(3)
        with install.serving_redis():
            install.sql("DROP TRIGGER slow")
            install.sql(LATER)
            install.manage("timetable", "--once")
            wait_for(install.is_done)
        assert worker.poll() is None
    assert install.stale_fans() == []


def test_range_when_it_kills_every_worker_then_parked_and_the_others_done(
    install: Install,
) -> None:
    install.sql("UPDATE schedules_duestate SET reckoned_revision = revision")
    install.sql(RANGES.format(tries=4))
    with install.worker("tests.jobs.deadly"):
        install.manage("timetable", "--once")
        parked = "SELECT first_fan, tries, fault FROM schedules_job WHERE parked_at IS NOT NULL"
        found = wait_for(lambda: len(install.jobs_left()) == 1 and install.sql(parked))
    (first, tries, fault) = found[0]
    assert (first, tries, "its worker died" in fault) == (3, 5, True)


def test_two_timetables_when_they_wake_at_once_then_each_turn_is_taken_once(
    install: Install,
) -> None:
    install.sql("CREATE TABLE taken (entry, first_fan, turn)")
    install.sql("""
        CREATE TRIGGER taking AFTER UPDATE OF begun_at ON schedules_job
        BEGIN INSERT INTO taken VALUES (new.entry, new.first_fan, new.turn); END
    """)
    wake = [sys.executable, "manage.py", "timetable", "--once"]
    with install.worker(processes=2):
        both = [subprocess.Popen(wake, **install.where) for _ in range(2)]
        assert [each.wait(60) for each in both] == [0, 0]
        wait_for(install.is_done)
    taken = install.sql("SELECT entry, turn, count(*) FROM taken WHERE first_fan = 0 GROUP BY 1, 2")
    # between the two wakings a turn more may begin
    told = {entry for entry, *_ in taken}, {count for *_, count in taken}
    assert told == (set(ENTRIES), {1})


def test_timetable_when_redis_is_gone_then_says_so_and_keeps_everything(install: Install) -> None:
    install.redis_url = "redis://127.0.0.1:1/0"
    said = install.manage("timetable", "--once")
    assert (said.returncode, "The broker takes no jobs" in said.stderr) == (1, True)
    assert install.sql("SELECT count(*) FROM schedules_job WHERE sent_at IS NOT NULL") == [(0,)]
