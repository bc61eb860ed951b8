"""A month passes on ``serve`` alone: exactly the right letters lie in its folder."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

from django.conf import settings

from fleet.models import Owner, Person, Site
from fleet.services.keys import give_key
from schedules.jobs.timetable import ENTRIES
from schedules.models import Job, Notice
from schedules.proofs.browsing import Browsers
from schedules.proofs.mail_there import Came, MailFolder
from schedules.proofs.processes import wait_for
from schedules.proofs.slow_weeks import is_at_work, local_time, owed_at, week_of
from schedules.proofs.small_world import QUIET, make_small_world
from schedules.proofs.stories import ADVICE, ADVISED, Stories, Story
from schedules.proofs.told_serve import ToldClock
from schedules.proofs.weeks import (
    ANSWER,
    BEGIN,
    CHANGE,
    DO,
    OFFICE,
    PUT_OFF,
    VISITED,
    WITHDRAW,
    Window,
    weekly,
    window,
)
from schedules.proofs.world_of_weeks import roofs, visit_overdue

Tell = Callable[[str], object]
DAY, WEEK = timedelta(days=1), timedelta(days=7)
MINUTES = {"small": 120, "full": 10}
"""The clock is told to move on so far at a time."""
WRITTEN_EVERY = timedelta(minutes=30)
EARLIER = timedelta(minutes=3)
"""People do things so long before a turn, a turn of sending between them."""
PATIENCE_S = 60.0


@dataclass(frozen=True)
class MonthFigures:
    """Letters in the folder by kind; ``turns`` of the clock; ``asked_again`` are the keys of the
    letters on the advice that its owner put off.
    """

    days: int
    turns: int
    letters: dict[str, int]
    asked_again: list[str]
    seconds: float
    complaints: tuple[str, ...]


def prove_month(*, size: str, address: str, rng: Random, tell: Tell) -> MonthFigures:
    """Have ``serve`` do all for the database Django points at, while its clock moves on."""
    started = time.monotonic()
    month = window("a month", "2026-10-19", 31, MINUTES[size])
    make_small_world(month.begins - timedelta(hours=6))
    technicians = Person.objects.filter(role=Person.Role.TECHNICIAN)
    phone = technicians.filter(qualified_code_inspection=True).earliest("pk")
    _, key = give_key(person=phone, name="phone")
    with tempfile.TemporaryDirectory(prefix="month-") as folder:
        clock = ToldClock(Path(folder) / "clock")
        clock.tell(month.begins)
        mail = MailFolder(Path(folder) / "mail")
        with _serving(Path(folder), address) as (site, planner):
            tell(f"{site} is served; {month.days} days pass from {month.begins:%Y-%m-%d} …")
            stories = Stories(Browsers(site, mail, key, planner), OFFICE)
            course = _Course(month, clock, mail, stories)
            course.run()
    complaints = tuple(course.complaints())
    return MonthFigures(
        days=month.days,
        turns=course.turns,
        letters=dict(Counter(each.key.partition(".")[0] for each in mail.came)),
        asked_again=[each.key for each in mail.came if _is_about_advice(each)],
        seconds=round(time.monotonic() - started, 1),
        complaints=complaints,
    )


@contextmanager
def _serving(folder: Path, address: str) -> Iterator[tuple[str, tuple[str, str]]]:
    """``serve`` with a folder of its own; its address, a planner's name and password."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    about = {
        "DATA_DIR": str(folder), "DATABASE_URL": address, "OFFICE_TIME_ZONE": OFFICE,
        "MAIL_URL": "", "REDIS_URL": "", "PUBLIC_URL": "", "PRODUCTION": "false",
        "DJANGO_SETTINGS_MODULE": "config.settings",
    }  # fmt: skip
    words = ["-m", "schedules.proofs.told_serve", str(folder / "clock"), "--port", str(port)]
    log = folder / "log"
    with log.open("wb") as output:
        process = subprocess.Popen(  # noqa: S603  # our own program
            [sys.executable, *words], env={**os.environ, **about}, cwd=settings.BASE_DIR,
            stdout=output, stderr=output,
        )  # fmt: skip
    try:
        wait_for(lambda: b"stops it" in log.read_bytes() or bool(process.poll()), PATIENCE_S)
        told = re.search(r"dispatcher +(\S+) +(\S+)", log.read_text())
        if told is None:
            raise ValueError(f"serve did not come up: {log.read_text()[-600:]}")
        yield f"http://127.0.0.1:{port}", (told[1], told[2])
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


@dataclass
class _Course:
    """What happens, what must come of it, and what came; ``owed`` are letters by key and instant
    that no story tells of.
    """

    window: Window
    clock: ToldClock
    mail: MailFolder
    stories: Stories
    owed: dict[str, datetime] = field(default_factory=dict)
    turns: int = 0
    answered: datetime | None = None

    def run(self) -> None:
        """From begin to end, by the clock alone."""
        acts = [
            (BEGIN, self.stories.begin), (CHANGE, self.stories.change),
            (WITHDRAW, self.stories.withdraw), (DO, self._visit), (ANSWER, self._answer),
        ]  # fmt: skip
        known, now = roofs(), self.window.begins
        while now < self.window.ends:
            if acts and now >= self.window.begins + acts[0][0]:
                self.clock.tell(now - EARLIER)
                acts.pop(0)[1](now - EARLIER)
                known = roofs()
            if now == self.turn(now):
                self._owe(owed_at(known, now), now)
            self.clock.tell(now)
            _wait_until_done(now)
            self.mail.look(now)
            self.turns += 1
            now += self.window.step

    def turn(self, at: datetime) -> datetime:
        """When what is due at an instant is written."""
        return at + (self.window.begins - at) % max(self.window.step, WRITTEN_EVERY)

    def _visit(self, now: datetime) -> None:
        if not list(visit_overdue(VISITED, now, self.stories.doors)):
            raise ValueError(f"no fan of {VISITED} was visited that a letter had named")

    def _answer(self, now: datetime) -> None:
        self.answered = now
        self.stories.answer(self.window.begins.date() + PUT_OFF * DAY, now)

    def _owe(self, overdue: set[tuple[int, str]], now: datetime) -> None:
        for owner_id, week in overdue:
            self.owed.setdefault(f"overdue.owner-{owner_id}.{week}", now)
        clock = local_time(now, OFFICE)
        quiet = Owner.objects.get(name=QUIET).pk
        before = [f"overdue.owner-{quiet}.{week_of(clock - WEEK * back)}" for back in (1, 2)]
        if is_at_work(clock) and self.owed.keys() >= set(before):
            manager = Person.objects.get(role=Person.Role.MANAGER).pk
            self.owed.setdefault(f"unanswered.person-{manager}.{week_of(clock)}", now)

    def complaints(self) -> Iterator[str]:
        """A sentence for each claim that does not hold."""
        came = {each.key: each.seen for each in self.mail.came}
        stories = [*self.stories.ended(self.window.ends), *weekly(self.window)]
        for kind in ("overdue", "unanswered"):
            due = {key: at for key, at in self.owed.items() if key.startswith(kind)}
            stories.append(Story(kind, "", "", due))
        yield from filter(None, (story.complaint(came, self.turn) for story in stories))
        told = {key for story in stories for key in story.dues}
        if strangers := sorted(came.keys() - told):
            yield f"Nobody was owed {', '.join(strangers)}."
        # a letter sent twice would lie there once, for the same Message-ID has the same file
        if again := Notice.objects.exclude(tries=1).count():
            yield f"{again} letters were not sent at the first try, and once."
        yield from self._misdirected()
        yield from self._unheeded()

    def _misdirected(self) -> Iterator[str]:
        """Letters to another address than that of whom their key names."""
        people = dict(Person.objects.values_list("pk", "email"))
        known: Mapping[str, str] = {
            **{f"owner-{pk}": email for pk, email in Owner.objects.values_list("pk", "email")},
            **{f"person-{pk}": email for pk, email in people.items()},
        }
        for each in self.mail.came:
            if known.get(each.key.split(".")[1]) != each.to:
                yield f"{each.key} went to {each.to}."

    def _unheeded(self) -> Iterator[str]:
        """Weekly letters name the advice until it is put off, not then, and again from the day;
        never on a day on which a letter of its own does.
        """
        site = Site.objects.filter(owner__name=ADVISED)[0]
        begun, until = (self.window.begins + after for after in (BEGIN, PUT_OFF * DAY))
        keys = {each.key for each in self.mail.came}
        asked = set()
        for each in self.mail.came:
            at = each.seen.at
            if each.key.startswith(f"overdue.owner-{site.owner_id}.") and at > begun:
                day = local_time(at, site.time_zone).date()
                apart = f"advice.owner-{site.owner_id}.{day}" in keys
                is_open = not apart and (at < (self.answered or until) or at >= until)
                asked.add(is_open)
                if is_open != (ADVICE in each.seen.text):
                    yield f"{each.key} asks for an answer or not, wrongly."
        if asked != {True, False}:
            yield f"{ADVISED} had no weekly letter both with and without its advice."


def _is_about_advice(each: Came) -> bool:
    return each.key.startswith("advice.") and ADVICE in each.seen.text


def _wait_until_done(now: datetime) -> None:
    """Until the timetable has done every turn that there is at this instant."""
    end = time.monotonic() + PATIENCE_S
    turns = {name: entry.turn(now) for name, entry in ENTRIES.items()}
    while True:
        jobs = list(Job.objects.all())
        done = {job.entry: job.turn for job in jobs if job.ended_at and not job.last_fan}
        if done == turns and len(jobs) == len(turns):
            return
        if time.monotonic() > end:
            told = "; ".join(f"{job}: {job.fault}" for job in jobs if not job.ended_at)
            raise ValueError(f"at {now} the timetable was not done: {told or done}")
        time.sleep(0.005)
