"""Weeks pass on the timetable alone: every owner has each letter it must have, once."""

from __future__ import annotations

import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from random import Random

from django.core.management import call_command
from django.test import override_settings

from fleet.models import Owner, Person
from schedules.due.reckoning import reckon_fleet
from schedules.models import Notice
from schedules.notices.sending import message_id, send_notices
from schedules.notices.writing import write_notices
from schedules.proofs.doors import Services
from schedules.proofs.slow_letters import weekly_dues
from schedules.proofs.slow_weeks import is_at_work, local_time, owed_at
from schedules.proofs.stories import Seen, Stories, Story
from schedules.proofs.world_of_weeks import Deed, decide, make_world, roofs, visit_overdue

Tell = Callable[[str], object]
DAY = timedelta(days=1)
VISITED = "Ridge Kitchens"
OFFICE = "America/New_York"
BEGIN, CHANGE = timedelta(days=2, hours=15), timedelta(days=4, hours=18)
WITHDRAW, DO, ANSWER = timedelta(days=7, hours=6), timedelta(days=9), timedelta(days=13, hours=12)
"""From the window's begin: when something happens, when it is changed, withdrawn and seen to, and
when advice is answered."""
PUT_OFF = 15
"""The day of the window until which the owner puts it off."""


@dataclass(frozen=True)
class Window:
    """A stretch of days from a Monday on, with a turn of the timetable every ``step``."""

    name: str
    begins: datetime
    days: int
    step: timedelta

    @property
    def ends(self) -> datetime:
        """The first instant after it."""
        return self.begins + self.days * DAY

    def turn(self, at: datetime) -> datetime:
        """The first turn at or after an instant."""
        return at + (self.begins - at) % self.step


def window(name: str, begins: str, days: int, minutes: int) -> Window:
    """So many days from a day on, with a turn every so many minutes from five past midnight."""
    begun = datetime.fromisoformat(begins).replace(hour=0, minute=5, tzinfo=UTC)
    return Window(name, begun, days, timedelta(minutes=minutes))


WINDOWS = {
    "small": (
        window("both autumn changes", "2026-10-19", 16, 180),
        window("New Year", "2026-12-21", 15, 180),
    ),
    "full": (
        window("both spring changes", "2026-03-02", 35, 30),
        window("both autumn changes", "2026-10-19", 28, 30),
        window("New Year", "2026-12-14", 35, 30),
    ),
}


@dataclass(frozen=True)
class WeeksFigures:
    """Weekly letters by window, owner and week; ``letters`` counts all, by their kind, ``turns``
    those of the timetable.
    """

    windows: int
    days: int
    turns: int
    letters: dict[str, int]
    sent: int
    deeds: int
    seconds: float
    by_owner: dict[str, dict[str, list[str]]]
    complaints: tuple[str, ...]


@dataclass
class _Course:
    """What happens in one window, and what must come of it."""

    window: Window
    expected: set[tuple[int, str]] = field(default_factory=set)
    deeds: list[Deed] = field(default_factory=list)
    stories: Stories = field(default_factory=lambda: Stories(Services(), OFFICE))
    turns: int = 0
    sent: int = 0

    def run(self) -> None:
        """Turn by turn from begin to end."""
        acts = [
            (BEGIN, self.stories.begin), (CHANGE, self.stories.change),
            (WITHDRAW, self.stories.withdraw), (DO, self._do), (ANSWER, self._answer),
        ]  # fmt: skip
        known = roofs()
        now = self.window.begins
        while now < self.window.ends:
            if acts and now >= self.window.begins + acts[0][0]:
                acts.pop(0)[1](now)
                known = roofs()
            self.expected |= owed_at(known, now)
            reckon_fleet(now=now)
            write_notices(now=now)
            self.sent += send_notices(clock=partial(_same, now)).sent
            self.turns += 1
            now += self.window.step

    def _do(self, now: datetime) -> None:
        self.deeds = [*decide(now), *visit_overdue(VISITED, now, self.stories.doors)]

    def _answer(self, now: datetime) -> None:
        self.stories.answer(self.window.begins.date() + PUT_OFF * DAY, now)


def _same(now: datetime) -> datetime:
    return now


def prove_weeks(*, size: str, address: str, rng: Random, tell: Tell) -> WeeksFigures:
    """Let weeks pass over clock changes and New Year in the database Django points at."""
    started = time.monotonic()
    courses, complaints = [], []
    letters: Counter[str] = Counter()
    by_owner: dict[str, dict[str, list[str]]] = {}
    for window in WINDOWS[size]:
        tell(f"{window.name}: {window.days} days from {window.begins:%Y-%m-%d} …")
        call_command("flush", verbosity=0, interactive=False)
        make_world(window.begins - timedelta(hours=6))
        course = _Course(window)
        with tempfile.TemporaryDirectory(prefix="weeks-") as folder:
            backend = "config.mail_folder.FolderBackend"
            mail = Path(folder) / "mail"
            told = {"EMAIL_BACKEND": backend, "MAIL_FOLDER": mail, "OFFICE_TIME_ZONE": OFFICE}
            with override_settings(**told):
                course.run()
                files = len(list(mail.glob("*.eml")))
        complaints += [f"{window.name}: {each}" for each in _complaints(course, files)]
        by_owner[window.name] = _letters_by_owner()
        letters.update(Notice.objects.values_list("kind", flat=True))
        courses.append(course)
    return WeeksFigures(
        windows=len(courses),
        days=sum(course.window.days for course in courses),
        turns=sum(course.turns for course in courses),
        letters=dict(letters),
        sent=sum(course.sent for course in courses),
        deeds=sum(len(course.deeds) for course in courses),
        seconds=round(time.monotonic() - started, 1),
        by_owner=by_owner,
        complaints=tuple(complaints),
    )


def _letters_by_owner() -> dict[str, list[str]]:
    rows = Notice.objects.filter(kind=Notice.Kind.OVERDUE).order_by("period")
    found: dict[str, list[str]] = {
        name: [] for name in Owner.objects.values_list("name", flat=True)
    }
    for name, period in rows.values_list("owner__name", "period"):
        found[name].append(period)
    return found


def _complaints(course: _Course, files: int) -> Iterator[str]:
    notices = list(Notice.objects.select_related("owner"))
    letters = [each for each in notices if each.kind == Notice.Kind.OVERDUE]
    written = Counter((each.owner_id or 0, each.period) for each in letters)
    for owner_id, week in sorted(course.expected - written.keys()):
        yield f"owner {owner_id} had no letter of {week} and must have one."
    for owner_id, week in sorted(written.keys() - course.expected):
        yield f"owner {owner_id} had a letter of {week} and was owed none."
    if any(count > 1 for count in written.values()):
        yield f"a week was written twice: {written.most_common(1)}."
    if not len(notices) == course.sent == files:
        yield f"{len(notices)} notices, {course.sent} sent, {files} arrived."
    seen = {
        message_id(each)[1:].partition("@")[0]: Seen(each.owed_at, each.text, each.calendar)
        for each in notices
    }
    window = course.window
    stories = [*course.stories.ended(window.ends), *weekly(window)]
    yield from filter(None, (story.complaint(seen, window.turn) for story in stories))
    yield from _out_of_hours(letters)
    yield from _unheeded(course, letters)


def weekly(window: Window) -> Iterator[Story]:
    """The company's own weekly letters: each of their readers has one of every week."""
    ids = dict(Person.objects.values_list("role", "pk"))
    first, readers = window.begins.date(), (Person.Role.DISPATCHER, Person.Role.MANAGER)
    dues = weekly_dues(first, window.days, OFFICE, *([ids[role]] for role in readers))
    for kind in ("monday", "summary"):
        due = {key: at for key, at in dues.items() if key.startswith(kind)}
        yield Story(kind, "person-", "", due).until(window.ends)


def _out_of_hours(letters: list[Notice]) -> Iterator[str]:
    """Letters written when nobody at the owner's kitchens was at work."""
    zones: dict[int, set[str]] = defaultdict(set)
    for roof in roofs():
        zones[roof.owner_id].add(roof.zone)
    for each in letters:
        clocks = [local_time(each.owed_at, zone) for zone in zones[each.owner_id or 0]]
        if not any(map(is_at_work, clocks)):
            yield f"{each} was written at {clocks[0]:%A %H:%M} there."


def _unheeded(course: _Course, letters: list[Notice]) -> Iterator[str]:
    """What was done and still stands in a later letter; what was to be done must be something."""
    if len({bool(deed.kitchen) for deed in course.deeds}) < 2:
        yield "no advice was answered or no fan visited that a letter had named: nothing is proved."
    for deed in course.deeds:
        later = [n for n in letters if n.owner_id == deed.owner_id and n.owed_at > deed.at]
        if any(map(deed.stands_in, later)):
            yield f"{deed.phrase!r} was settled and still stands in a later letter."
