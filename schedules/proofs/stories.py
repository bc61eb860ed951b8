"""Things that happen in a window of weeks, and on which days each must be written about.

The days are counted here by hand's rules, apart from the product: which day is worked, and which
working day is the third, tenth or second after something.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from fleet.models import Fan
from schedules.demo.records import Kitchen, walk
from schedules.models import Notice
from schedules.proofs.slow_weeks import is_worked, local_time
from schedules.proofs.world_of_weeks import decline
from schedules.services import log_visit

DAY = timedelta(days=1)
ADVISED, STOPPED, MADE_SAFE = "Corner Table", "Ridge Kitchens", "Two Coasts"
ADVICE = "Have the flashing of the curb renewed before the next storm."
ADVICE_DAYS = (3, 10, 21)
CHASED = (2, 4, 6, 8, 10, 15, 20, 25)
"""Working days after a fan is made safe on which its owner is written to."""


@dataclass(frozen=True)
class Story:
    """Letters of one kind that hold a ``phrase``, to one owner, on exactly these local days."""

    kind: Notice.Kind
    owner_id: int
    zone: str
    phrase: str
    days: frozenset[date]

    def until(self, end: date) -> Story:
        """The same with nothing on or after that day."""
        return replace(self, days=frozenset(day for day in self.days if day < end))

    def complaint(self, notices: list[Notice]) -> str:
        """What is wrong with the letters written, or nothing."""
        days = sorted(
            local_time(each.owed_at, self.zone).date()
            for each in notices
            if (each.kind, each.owner_id) == (self.kind, self.owner_id) and self.phrase in each.text
        )
        if days == sorted(self.days):
            return ""
        told, due = (", ".join(map(str, each)) or "never" for each in (days, sorted(self.days)))
        return f"{self.kind} on {self.phrase!r} was written on {told} and was due on {due}."


def begin_stories(now: datetime) -> list[Story]:
    """Log what begins them; the days on which each is to be written about if nobody answers."""
    return [_advise(now), _stop(now), _make_safe(now)]


def answer_advice(now: datetime) -> None:
    """The owner says no to the advice."""
    decline(_fan(ADVISED).recommendations.get(text=ADVICE), now)


def _advise(now: datetime) -> Story:
    fan = _fan(ADVISED)
    on = _log(fan, now, recommendations=[{"fan": fan.tag, "subject": "curb", "text": ADVICE}])
    days = {_worked_from(on + count * DAY) for count in ADVICE_DAYS}
    return _story(Notice.Kind.ADVICE, fan, ADVICE, days)


def _stop(now: datetime) -> Story:
    fan = _fan(STOPPED)
    machine = fan.machines.get(removed_on=None)
    look = walk(fan.tag, belt=machine.is_belt_driven, seen={"guard": "off"})
    on = _log(fan, now, kind="walk_through", checks=[look])
    return _story(Notice.Kind.CRITICAL, fan, fan.tag, {on})


def _make_safe(now: datetime) -> Story:
    fan = _fan(MADE_SAFE)
    on = _log(fan, now, made_safe=[{"fan": fan.tag, "told": "the chef"}])
    worked = _worked_days(on)
    days = {day for count, day in zip(range(1, max(CHASED) + 1), worked, strict=False)
            if count in CHASED}  # fmt: skip
    return _story(Notice.Kind.MADE_SAFE, fan, fan.tag, {on, *days})


def _story(kind: Notice.Kind, fan: Fan, phrase: str, days: set[date]) -> Story:
    return Story(kind, fan.site.owner_id, fan.site.time_zone, phrase, frozenset(days))


def _fan(owner: str) -> Fan:
    """The fan of the owner that was entered last."""
    fans = Fan.objects.filter(site__owner__name=owner).select_related("site__owner")
    return fans.order_by("-pk")[0]


def _log(fan: Fan, now: datetime, kind: str = "service_call", **parts: Any) -> date:
    """Log a visit of this hour; its local day."""
    kitchen = Kitchen(fan.site.owner.name, fan.site.name)
    visit = kitchen.visit(kind, (now - timedelta(hours=1)).isoformat(), **parts)
    log_visit(payload={**visit, "id": str(uuid4())}, by=None, now=now)
    return local_time(now - timedelta(hours=1), fan.site.time_zone).date()


def _worked_from(day: date) -> date:
    while not is_worked(day):
        day += DAY
    return day


def _worked_days(after: date) -> Iterator[date]:
    day = after
    while True:
        day += DAY
        if is_worked(day):
            yield day
