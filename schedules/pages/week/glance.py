"""A week at a glance: each day's rounds, who has none, who is off and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from fleet.models import DaysOff, Person
from schedules.rounds.clocks import WeekClock
from schedules.rounds.reading import Crew
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text


def show_glance(
    days: Sequence[Mapping[str, Any]], crew: Crew, clock: WeekClock
) -> list[dict[str, Any]]:
    """A line a day: its rounds; of a day still ahead, who works and has none, who does not."""
    rounds = {each["day"]: each["rounds"] for each in days}
    lines = [_line(day, rounds.get(day, []), crew, clock) for day in clock.week]
    return [line for line in lines if line["rounds"] or line["idle"] or line["off"]]


def _line(
    day: date, rounds: Sequence[Mapping[str, Any]], crew: Crew, clock: WeekClock
) -> dict[str, Any]:
    out = {each["technician"] for each in rounds}
    others = [each for each in crew.people if each.pk not in out and day in clock.days]
    idle = [each for each in others if _has_hours(each, day) and not crew.is_off(each.pk, day)]
    return {
        "day": day,
        "rounds": rounds,
        "idle": [{"technician": each.pk, "name": technician_name(each)} for each in idle],
        "off": list(_off_texts(day, others, crew, clock)),
        "stranded": list(_stranded_texts(day, rounds, crew)) if day in clock.days else [],
    }


def _stranded_texts(day: date, rounds: Sequence[Mapping[str, Any]], crew: Crew) -> Iterator[str]:
    """Who has a round and, as the register stands by now, does not work that day."""
    people = {person.pk: person for person in crew.people}
    told = _("{who} has a round and does not work then ({why}): plan the week again, or move it")
    for each in rounds:
        person, leave = people.get(each["technician"]), crew.leave_of(each["technician"], day)
        if person is None:
            why = _("cannot be sent any more")
        elif not _has_hours(person, day):
            why = _("no hours that weekday")
        elif leave:
            why = _reason(leave)
        else:
            continue
        yield told.format(who=each["short_name"], why=why)


def _off_texts(day: date, people: Sequence[Person], crew: Crew, clock: WeekClock) -> Iterator[str]:
    """``J. Park (dentist)``; who is away all week is told once beside that."""
    if not any(_has_hours(each, day) for each in crew.people):
        return
    if holiday := crew.leave_of(None, day):
        yield _("everybody ({why})").format(why=_reason(holiday))
        return
    for person in people:
        if leave_of_week(person, crew, clock):
            continue
        leave = crew.leave_of(person.pk, day)
        if not _has_hours(person, day):
            why = _("no hours that weekday")
        elif leave:
            why = _reason(leave)
        else:
            continue
        yield _("{who} ({why})").format(who=technician_name(person), why=why)


def show_away(crew: Crew, left: Sequence[Person], clock: WeekClock) -> Iterator[str]:
    """Who cannot be sent on any day still ahead, and why."""
    for person in crew.people:
        name = technician_name(person)
        if not any(person.working_week.hours):
            yield _("{who}: no working hours on record").format(who=name)
        elif leave := leave_of_week(person, crew, clock):
            until = day_text(leave.last_on)
            yield _("{who}: all week, until {day} ({why})").format(
                who=name, day=until, why=_reason(leave)
            )
    for person in crew.without_week:
        yield _("{who}: no base and hours on record").format(who=technician_name(person))
    for person in left:
        why = _("no longer active") if not person.is_active else _("no longer a technician")
        yield _("{who}: {why}").format(who=technician_name(person), why=why)


def leave_of_week(person: Person, crew: Crew, clock: WeekClock) -> DaysOff | None:
    """The leave for which somebody works on no day still ahead; None where they do on one."""
    leaves = [crew.leave_of(person.pk, day) for day in clock.days if _has_hours(person, day)]
    return leaves[-1] if leaves and all(each and each.technician_id for each in leaves) else None


def _has_hours(person: Person, day: date) -> bool:
    return bool(person.working_week.hours[day.weekday()])


def _reason(leave: DaysOff) -> str:
    return leave.reason or _("day off")
