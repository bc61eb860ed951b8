"""Things that happen in a stretch of weeks, and which letters must come of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from fleet.models import Fan, Person, Site
from schedules.bookings.services import Terms
from schedules.demo.county import SCHOOLS
from schedules.demo.records import Kitchen, walk
from schedules.proofs.doors import Doors
from schedules.proofs.slow_calendar import Told, events_in, told_at
from schedules.proofs.slow_letters import (
    DAY,
    Dues,
    advice_dues,
    critical_dues,
    day_dues,
    made_safe_dues,
    no_access_dues,
    said_dues,
)
from schedules.proofs.slow_weeks import local_time
from visits.models import Recommendation

ADVISED, STOPPED, MADE_SAFE, LATER = "Corner Table", "Ridge Kitchens", "Two Coasts", SCHOOLS
"""Owners; ``LATER`` never answers."""
ADVICE = "Have the flashing of the curb renewed before the next storm."
TECHNICIAN, DISPATCHER = Person.Role.TECHNICIAN, Person.Role.DISPATCHER


@dataclass(frozen=True)
class Seen:
    """A letter that came, by the turn of the timetable at which it did."""

    at: datetime
    text: str
    calendar: str = ""


@dataclass(frozen=True)
class Story:
    """Letters of a kind ``about`` something, as their key says, that hold a ``phrase``.

    They must come by ``dues``, no other may, and what stands in their calendar are ``events``.
    """

    kind: str
    about: str
    phrase: str
    dues: Dues
    events: Mapping[str, frozenset[Told]] = field(default_factory=dict)

    def until(self, end: datetime) -> Story:
        """This story without the letters due at ``end`` or later."""
        return replace(self, dues={key: at for key, at in self.dues.items() if at < end})

    def and_then(self, dues: Dues) -> Story:
        """This story with more letters that must come."""
        return replace(self, dues={**self.dues, **dues})

    def complaint(self, letters: Mapping[str, Seen], turn: Callable[[datetime], datetime]) -> str:
        """What is wrong with the letters that came, or nothing; ``turn`` is the next one."""
        came = {key: seen for key, seen in letters.items() if self._holds(key, seen)}
        told = {key: f"{seen.at:%Y-%m-%d %H:%M}" for key, seen in sorted(came.items())}
        due = {key: f"{turn(at):%Y-%m-%d %H:%M}" for key, at in sorted(self.dues.items())}
        if told != due:
            return f"On {self.phrase!r} came {told} and were due {due}."
        wrong = [key for key, events in self.events.items()
                 if key in came and events_in(came[key].calendar) != events]  # fmt: skip
        return f"The calendar of {wrong} does not say what was booked." if wrong else ""

    def _holds(self, key: str, seen: Seen) -> bool:
        return key.startswith(f"{self.kind}.") and self.about in key and self.phrase in seen.text


@dataclass
class Stories:
    """All of them, as they go on; what people do is done through ``doors``."""

    doors: Doors
    office: str
    told: list[Story] = field(default_factory=list)
    _advice: Story = field(init=False)
    _roof: Site = field(init=False)
    _terms: Terms = field(init=False)
    _booking: UUID = field(init=False)
    _changes: list[datetime] = field(default_factory=list)

    def begin(self, now: datetime) -> None:
        """Advice twice, a stop, a fan made safe, a kitchen asked, a roof shut, a day booked."""
        self._advice, later = self._advise(ADVISED, now), self._advise(LATER, now)
        self.told += [later, self._stop(now), self._make_safe(now), self._ask(now), self._shut(now)]
        self._book(now)

    def change(self, now: datetime) -> None:
        """The day's hours are moved, and the kitchen tells that a fan does not run."""
        self.doors.move(self._booking, replace(self._terms, from_minute=780, until_minute=900), now)
        self._changes.append(now)
        page = self.doors.tell_stopped(_site(MADE_SAFE), now)
        told = said_dues("told", self._planners, page, now)
        self.told.append(Story("told", str(page), "not running", told))

    def withdraw(self, now: datetime) -> None:
        """Nobody comes that day after all."""
        self.doors.withdraw(self._booking, now)
        self._changes.append(now)

    def answer(self, until: date, now: datetime) -> None:
        """The owner wants to be asked again on that day."""
        advice = Recommendation.objects.get(text=ADVICE, fan__site__owner__name=ADVISED)
        decision = self.doors.put_off(advice, until, now)
        site = advice.fan.site
        again = advice_dues(site.owner_id, site.time_zone, until, put_off=True)
        self._advice = self._advice.until(now).and_then(again)
        readers = [f"owner-{site.owner_id}", *self._planners]
        told = said_dues("decided", readers, decision, now)
        self.told.append(Story("decided", str(decision), ADVICE, told))

    def ended(self, end: datetime) -> Iterator[Story]:
        """Every story as far as it went by then."""
        for story in [*self.told, self._advice, self._day()]:
            yield story.until(end)

    @property
    def _planners(self) -> list[str]:
        return [f"person-{person.pk}" for person in Person.objects.filter(role=DISPATCHER)]

    def _advise(self, owner: str, now: datetime) -> Story:
        fan = _fan(owner)
        on = self._log(fan, now, recommendations=[
            {"fan": fan.tag, "subject": "curb", "text": ADVICE}
        ])  # fmt: skip
        owner_id = fan.site.owner_id
        dues = advice_dues(owner_id, fan.site.time_zone, on)
        return Story("advice", f"owner-{owner_id}.", ADVICE, dues)

    def _stop(self, now: datetime) -> Story:
        fan = _fan(STOPPED)
        machine = fan.machines.get(removed_on=None)
        look = walk(fan.tag, belt=machine.is_belt_driven, seen={"guard": "off"})
        on = self._log(fan, now, kind="walk_through", checks=[look])
        readers = [(each.pk, self.office) for each in Person.objects.filter(role=DISPATCHER)]
        owner = fan.site.owner_id, fan.site.time_zone
        dues = critical_dues(fan.pk, on, now, owner, readers)
        return Story("critical", f".fan-{fan.pk}.", fan.tag, dues)

    def _make_safe(self, now: datetime) -> Story:
        fan = _fan(MADE_SAFE)
        on = self._log(fan, now, made_safe=[{"fan": fan.tag, "told": "the chef"}])
        dues = made_safe_dues(fan.pk, on, now, fan.site.owner_id, fan.site.time_zone)
        return Story("made-safe", f".fan-{fan.pk}.", fan.tag, dues)

    def _ask(self, now: datetime) -> Story:
        site = _site(MADE_SAFE)
        self.doors.ask(site, now)
        period = f"site-{site.pk}.{local_time(now, site.time_zone).date()}"
        dues = said_dues("asked", [f"owner-{site.owner_id}"], period, now)
        return Story("asked", f"site-{site.pk}.", site.name, dues)

    def _shut(self, now: datetime) -> Story:
        """Yesterday and now, on record at once; the week's letter has gone on its Monday."""
        site = _site(MADE_SAFE)
        fan = Fan.objects.filter(site=site).select_related("site__owner").order_by("pk")[0]
        missed = [{"fan": fan.tag, "reason": "no_access"}]
        since = self._log(fan, now, began=now - DAY, not_reached=missed)
        self._log(fan, now, not_reached=missed)
        dues = no_access_dues(site.owner_id, site.pk, since, now, site.time_zone)
        return Story("no-access", f"site-{site.pk}.", "could not get onto the roof", dues)

    def _book(self, now: datetime) -> None:
        """Next Monday, in a zone whose clocks are changed before it."""
        self._roof, person = _site(LATER), Person.objects.filter(role=TECHNICIAN).order_by("pk")[0]
        today = local_time(now, self._roof.time_zone).date()
        monday = today + DAY * (8 - today.isoweekday())
        self._terms = Terms(person, monday, 540, 660, "key with the porter")
        self._booking = self.doors.book(self._roof, self._terms, now)

    def _day(self) -> Story:
        terms, zone = self._terms, self._roof.time_zone
        dues = day_dues(terms.technician.pk, terms.day, zone, self._changes)
        stands = (("CONFIRMED", "09-11"), ("CONFIRMED", "13-15"), ("CANCELLED", "13-15"))
        events = {
            key: frozenset({told_at(self._booking, number, status, zone, terms.day, hours)})
            for (number, (status, hours)), key in zip(enumerate(stands), dues, strict=False)
        }
        about = f"person-{terms.technician.pk}.{terms.day}"
        return Story("day", about, self._roof.name, dues, events)

    def _log(
        self,
        fan: Fan,
        now: datetime,
        kind: str = "service_call",
        began: datetime | None = None,
        **parts: Any,
    ) -> date:
        """Log a visit of this hour, or of when it ``began``; its local day."""
        kitchen, began = Kitchen(fan.site.owner.name, fan.site.name), began or now
        visit = kitchen.visit(kind, began.isoformat(), **parts)
        self.doors.log({**visit, "id": str(uuid4())}, now)
        return local_time(began, fan.site.time_zone).date()


def _fan(owner: str) -> Fan:
    """The fan of the owner that was entered last."""
    fans = Fan.objects.filter(site__owner__name=owner).select_related("site__owner")
    return fans.order_by("-pk")[0]


def _site(owner: str) -> Site:
    """The owner's first kitchen."""
    return Site.objects.filter(owner__name=owner).select_related("owner").order_by("pk")[0]
