"""A technician's day in words: roofs in order of time, what is due on each, what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Person, Site
from schedules import wording
from schedules.bookings.calendar import calendar_of
from schedules.due.lines import DueLine
from schedules.fan_page.cautions import caution_last, cautions_before, unsafe_to_tip_text
from schedules.models import Booking, PlannedRound
from schedules.notices.day.roofs import Look, Past, Roofs
from schedules.notices.letter import LetterWords, drawn, fan_name, one_line
from schedules.weeks import iso_week
from schedules.wording.hours import clock_text
from schedules.wording.rounds import broken_text
from visits.wording import FAILURE_MODES, ITEMS, VERDICTS, VISIT_KINDS, WORK, subject_words, words
from visits.wording.names import upper_first


@dataclass(frozen=True)
class TechnicianDay:
    """Whose day, with its bookings in order; ``gone`` and ``told`` are of the letter before.

    ``round`` is its round of the week's plan in force, if there is one.
    """

    person: Person
    day: date
    bookings: Sequence[Booking]
    gone: Sequence[Booking]
    told: Mapping[UUID, int]
    is_again: bool
    round: PlannedRound | None
    now: datetime


@dataclass(frozen=True)
class FanSheet:
    """One fan in words."""

    name: str
    link: str
    due: str
    stop: str
    said: list[str]
    past: list[str]
    asked: list[str]
    caution: str


@dataclass(frozen=True)
class RoofSheet:
    """One stop of the day in words."""

    name: str
    when: str
    change: str
    breaks: list[str]
    address: str
    link: str
    facts: list[tuple[str, str]]
    note: str
    fans: list[FanSheet]
    is_above: bool


def day_words(day: TechnicianDay, roofs: Roofs) -> LetterWords:
    """The letter with its calendar."""
    context: dict[str, Any] = {
        "name": day.person.first_name or day.person.username,
        "day": wording.day_text(day.day),
        "is_again": day.is_again,
        "roofs": list(_roofs(day, roofs)),
        "sheet": _sheet_link(day) if day.round else "",
        "times": _times(day.round) if day.round else "",
        "breaks": _sentences(day.round.broken) if day.round else [],
        "gone": [_gone(booking) for booking in day.gone],
        "cautions": [*cautions_before(), _across_fans(), caution_last()],
    }
    words = drawn("day", _subject(day), context)
    return replace(words, calendar=calendar_of([*day.bookings, *day.gone], day.now))


def _subject(day: TechnicianDay) -> str:
    short = wording.short_day(day.day, day.day)
    if not day.bookings:
        return _("Changed: no roofs on {day}").format(day=short)
    first = day.bookings[0]
    text = ngettext(
        "{day}: {site}{at}", "{day}: {count} roofs, first {site}{at}", len(day.bookings)
    ).format(
        day=short,
        count=len(day.bookings),
        site=first.site.name,
        at=_(" at {time}").format(time=wording.clock_text(first.from_minute))
        if first.from_minute is not None
        else "",
    )
    return _("Changed: {day}").format(day=text) if day.is_again else text


def _across_fans() -> str:
    return _(
        "Capacitors and drives hold charge. Mark phase order before disconnecting; check rotation "
        "after. Torque to the maker's figure. Never under a tipped fan held by a prop."
    )


def _roofs(day: TechnicianDay, roofs: Roofs) -> Iterator[RoofSheet]:
    """Each stop; of a roof visited twice the fans are told once."""
    told: set[int] = set()
    for booking in day.bookings:
        yield _roof(booking, day, roofs, is_above=booking.site_id in told)
        told.add(booking.site_id)


def _roof(booking: Booking, day: TechnicianDay, roofs: Roofs, *, is_above: bool) -> RoofSheet:
    site = booking.site
    lines = () if is_above else roofs.lines.get(site.pk, ())
    return RoofSheet(
        name=one_line(site.name),
        when=wording.hours_text(booking) or _("any time that day"),
        change=_change(booking, day),
        breaks=_breaks(booking, day.round),
        address=one_line(site.address),
        link=_link("site_page", site.pk),
        facts=list(_facts(site)),
        note=one_line(booking.note),
        fans=[_fan(line, roofs.pasts[line.state.fan_id]) for line in lines],
        is_above=is_above,
    )


def _times(row: PlannedRound) -> str:
    return _("Set out {leave}, back {back}, as planned.").format(
        leave=clock_text(row.leave_minute), back=clock_text(row.back_minute)
    )


def _breaks(booking: Booking, row: PlannedRound | None) -> list[str]:
    """What is known to go wrong there, while the booking is as it was planned."""
    stops = row.stops.all() if row else ()
    codes = [
        code
        for stop in stops
        if (stop.booking_id, stop.booking_seen) == (booking.pk, booking.sequence)
        for code in stop.broken
    ]
    return _sentences(codes)


def _sentences(codes: Sequence[str]) -> list[str]:
    return [f"{upper_first(broken_text(code))}." for code in codes]


def _change(booking: Booking, day: TechnicianDay) -> str:
    """What is new of a stop since the letter before."""
    if not day.is_again or day.told.get(booking.pk) == booking.sequence:
        return ""
    return _("changed") if booking.pk in day.told else _("new")


def _facts(site: Site) -> Iterator[tuple[str, str]]:
    minutes = _("{minutes} minutes").format(minutes=site.access_minutes)
    yield _("Way up"), "; ".join(filter(None, [minutes, one_line(site.access_notes)]))
    if site.roof_access_hours is not None:
        yield _("Roof open"), wording.week_text(site.roof_access_hours)
    if site.fan_stop_hours is not None:
        yield _("Fans may stop"), wording.week_text(site.fan_stop_hours)
    if site.lift_notes:
        yield _("Lift, crane"), one_line(site.lift_notes)
    if site.owner.phone:
        yield one_line(site.owner.name), one_line(site.owner.phone)


def _gone(booking: Booking) -> str:
    if booking.withdrawn_at:
        return _("{site}: withdrawn ({why}).").format(
            site=one_line(booking.site.name), why=booking.withdrawn_reason
        )
    when = wording.when_booked_text(booking)
    return _("{site}: moved to {when}.").format(site=one_line(booking.site.name), when=when)


def _fan(line: DueLine, past: Past) -> FanSheet:
    said = [wording.reason_text(line), *wording.notes_of(line)]
    stop = wording.stop_text(line) or (said[0] if line.stop else "")
    return FanSheet(
        name=fan_name(line.state.fan),
        link=_link("fan_page", line.state.fan_id),
        due=_due(line),
        stop=stop,
        said=[text for text in said if text != stop],
        past=list(_past(past)),
        asked=[wording.untold_sentence(code) for code in line.untold],
        caution=unsafe_to_tip_text() if past.look and past.look.is_unsafe_to_tip else "",
    )


def _due(line: DueLine) -> str:
    """``due Mon 30 Nov, walk-through``; counted to the day of the visit."""
    if line.state.due_on is None:
        return _("no day")
    day, rule = wording.due_text(line), wording.driver_text(line)
    if line.days_over:
        return _("overdue: was due {day}, {rule}").format(day=day, rule=rule)
    return _("due {day}, {rule}").format(day=day, rule=rule)


def _past(past: Past) -> Iterator[str]:
    """The last look, the last work and the last failure, each in a line."""
    yield _look(past.look) if past.look else _("No look is on record yet.")
    if past.work:
        done = dict.fromkeys(
            _("{item} {work} {day}").format(
                item=subject_words(item), work=words(WORK, kind), day=wording.day_text(on)
            )
            for on, kind, item in past.work
        )
        yield f"{upper_first('; '.join(done))}."
    if past.failure is not None:
        on, item, mode = past.failure
        what = ", ".join(filter(None, [words(ITEMS, item), words(FAILURE_MODES, mode)]))
        yield _("Failed {day}: {what}.").format(day=wording.day_text(on), what=what)


def _look(look: Look) -> str:
    found = "; ".join(
        f"{subject_words(name)} {words(VERDICTS, said)}" for name, said in sorted(look.open.items())
    )
    return _("Last look {day} ({kind}): {found}.").format(
        day=wording.day_text(look.on),
        kind=words(VISIT_KINDS, look.kind),
        found=found or _("nothing above within"),
    )


def _sheet_link(day: TechnicianDay) -> str:
    args = [iso_week(day.day), day.person.pk, day.day.isoformat()]
    return settings.PUBLIC_URL + reverse("round_sheet", args=args)


def _link(name: str, key: int) -> str:
    return settings.PUBLIC_URL + reverse(name, args=[key])
