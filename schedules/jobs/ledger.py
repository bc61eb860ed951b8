"""Who has which job in hand: taken by a claim that runs out, ended by whoever still holds it.

Nothing here relies on the broker: a message only says that a job may be worth taking, and whoever
takes it asks the table.  Two messages, two timetables or a message too late therefore do no harm.
"""

from __future__ import annotations

import logging
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F

from schedules.jobs.ranges import halves_of
from schedules.jobs.timetable import Entry, Fans
from schedules.models import Job

log = logging.getLogger(__name__)
MARGIN = timedelta(minutes=1)
"""Between the end a job is put to and the time others may think its holder dead."""
WAITS = (timedelta(0), timedelta(minutes=1), timedelta(minutes=5), timedelta(minutes=15))
"""After each failed try; after one more the job is parked."""
MOST_TRIES = len(WAITS) + 1
PASSING = timedelta(minutes=1)
"""How long a job rests that failed for what surrounds us: database, disk, network."""
NEVER_ENDED = "Taken up {tries} times and never ended: its worker died, or ran out of time."


def take(entry: Entry, fans: Fans | None, turn: datetime, claim: str, now: datetime) -> Job | None:
    """Take the job up under ``claim``; None where it is done, parked, resting or in other hands.

    A message handed out again after its worker died has the same claim: its job is taken over.
    """
    first, last = fans or (0, 0)
    job = Job.objects.filter(entry=entry.name, first_fan=first, last_fan=last).first()
    if job is None or not _is_wanted(job, turn):
        return None
    died = job.claim == claim
    if not died and not Job.objects.free(now).filter(pk=job.pk).exists():
        return None
    if job.tries >= MOST_TRIES:
        _set_aside(job, NEVER_ENDED.format(tries=job.tries), now)
        return None
    if died and WAITS[job.tries - 1]:
        _rest(job, WAITS[job.tries - 1], NEVER_ENDED.format(tries=job.tries), now)
        return None
    read = Job.objects.filter(pk=job.pk, claim=job.claim, tries=job.tries, turn=job.turn)
    won = read.filter(parked_at=None).update(
        turn=turn, claim=claim, claimed_until=now + entry.limit + MARGIN, tries=job.tries + 1,
        begun_at=now, ended_at=None, count=0,
    )  # fmt: skip
    if won:
        job.refresh_from_db()
    return job if won else None


def _is_wanted(job: Job, turn: datetime) -> bool:
    """Whether that turn has not been done: a later one makes it superfluous."""
    if job.parked_at:
        return False
    return job.turn is None or job.turn < turn or (job.turn == turn and job.ended_at is None)


def finish(job: Job, count: int, now: datetime) -> bool:
    """Note what came of it; False where the claim has passed to others meanwhile.

    A range goes, and its turn counts it.
    """
    if not job.fans:
        return _end(job, ended_at=now, count=count, tries=0, rest_until=None, fault="")
    with transaction.atomic():
        done, _ = Job.objects.filter(pk=job.pk, claim=job.claim).delete()
        if done:
            turn = Job.objects.filter(entry=job.entry, last_fan=0)
            turn.update(count=F("count") + count, ended_at=now)
    return bool(done)


def put_off(job: Job, fault: str, now: datetime) -> bool:
    """Note trouble around us, which is no fault of the job's: it comes again soon."""
    return _rest(job, PASSING, fault, now, tries=job.tries - 1)


def fail(job: Job, fault: str, now: datetime) -> bool:
    """Note why it failed, and when it is tried again; after the last try it is set aside."""
    if job.tries >= MOST_TRIES:
        return _set_aside(job, fault, now)
    return _rest(job, WAITS[job.tries - 1], fault, now)


def _set_aside(job: Job, fault: str, now: datetime) -> bool:
    """Park the job; a range with room for it is halved first, that few fans wait for a bad one."""
    with transaction.atomic():
        halves = halves_of(job)
        if not halves:
            log.error("%s is parked: %s", job, fault)
            return _end(job, parked_at=now, fault=fault)
        if not Job.objects.filter(pk=job.pk, claim=job.claim, tries=job.tries).delete()[0]:
            return False
        for first, last in halves:
            Job.objects.create(
                entry=job.entry, first_fan=first, last_fan=last, turn=job.turn,
                tries=MOST_TRIES - 1, fault=fault[:250],
            )  # fmt: skip
    return True


def _rest(job: Job, wait: timedelta, fault: str, now: datetime, **outcome: int) -> bool:
    return _end(job, rest_until=now + wait, sent_at=None, fault=fault, **outcome)


def _end(job: Job, **outcome: object) -> bool:
    if "fault" in outcome:
        outcome["fault"] = str(outcome["fault"])[: Job._meta.get_field("fault").max_length]
    held = Job.objects.filter(pk=job.pk, claim=job.claim, tries=job.tries)
    return bool(held.update(claim="", claimed_until=None, **outcome))


def reopen(name: str) -> None:
    """Have an entry's turn done once more at the next waking: there is new work for it.

    Where it is in hand just now, the next turn finds that work.
    """
    Job.objects.filter(entry=name, last_fan=0).update(ended_at=None, sent_at=None)


def let_go(*, job_id: int | None = None) -> int:
    """Let a parked job, or all, be tried again as if for the first time; how many were parked."""
    parked = Job.objects.parked()
    if job_id is not None:
        parked = parked.filter(pk=job_id)
    return parked.update(parked_at=None, tries=0, rest_until=None, sent_at=None)
