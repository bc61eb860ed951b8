"""A round's sheet in words: who, when, what to bring; each roof's hours, blockers, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Blocker, Site
from schedules.engine import grease, hours, inspection
from schedules.fan_page.cautions import (
    caution_last,
    cautions_before,
    no_prop_text,
)
from schedules.models import Booking, PlanVersion
from schedules.round_sheet.beside import LookLine, ReadingTable, look_lines, reading_tables
from schedules.round_sheet.cautions import cautions_at
from schedules.round_sheet.fan_words import FanSheet, fan_sheet
from schedules.round_sheet.gathering import RoundFile, RoundFiles, StopFile
from schedules.round_sheet.packing import PackLine, instrument_words, pack_lines
from schedules.rounds.clocks import WeekClock
from schedules.rounds.qualified import skills_lacking
from schedules.rounds.sheet import FanLine
from schedules.rounds.telling import beside_text, fans_text, load_texts
from schedules.wording import day_text, hours_text, when_booked_text
from schedules.wording.hours import span_text
from schedules.wording.rounds import BLOCKER_WORDS, broken_text, needs_text
from visits.wording import words
from visits.wording.names import upper_first

STOPPED_FOR = (inspection.number, hours.number, grease.number)


@dataclass(frozen=True)
class StopSheet:
    """One stop in words; ``local`` is its time by the site's own clock where that differs."""

    number: int
    key: str
    site: Site
    work: str
    times: str
    local: str
    facts: list[tuple[str, str]]
    blockers: list[str]
    notes: list[str]
    fans: list[FanSheet]
    tables: list[ReadingTable]
    looks: list[LookLine]
    cautions: list[str]


@dataclass(frozen=True)
class RoundSheet:
    """One technician's day in words; ``state`` says which version of the plan it is of."""

    technician: int
    name: str
    day: str
    iso_day: str
    times: str
    load: str
    state: str
    breaks: list[str]
    packing: list[PackLine]
    instruments: str
    cautions: list[str]
    stops: list[StopSheet]
    beside: list[str]


def round_sheets(files: RoundFiles) -> list[RoundSheet]:
    """Every round as its sheet."""
    return [_round(each, files) for each in files.rounds]


def _round(file: RoundFile, files: RoundFiles) -> RoundSheet:
    row = file.row
    return RoundSheet(
        technician=row.technician_id,
        name=row.technician.called,
        day=date_format(row.day, "l j F Y"),
        iso_day=row.day.isoformat(),
        times=span_text(row.leave_minute, row.back_minute),
        load=upper_first(", ".join(load_texts(row))),
        state=state_text(files.version),
        breaks=[upper_first(broken_text(code)) for code in row.broken],
        packing=pack_lines(file),
        instruments=instrument_words(file),
        cautions=[*cautions_before(), f"{no_prop_text()} {_torque()}", caution_last()],
        stops=[_stop(each, file, files.clock) for each in file.stops],
        beside=[_beside(each) for each in file.beside],
    )


def state_text(version: PlanVersion) -> str:
    """``Week 2026-W50, published as version 2``; a draft says that nobody goes by it yet."""
    if version.number:
        return _("Week {week}, version {number}").format(week=version.plan, number=version.number)
    return _("Week {week}, draft at revision {number}: no technician goes by it").format(
        week=version.plan, number=version.plan.revision
    )


def _torque() -> str:
    return _("Torque to the maker's figure.")


def _beside(booking: Booking) -> str:
    when = hours_text(booking) or _("any time that day")
    return ", ".join(filter(None, [when, booking.site.name, booking.site.address, booking.note]))


def _stop(stop: StopFile, file: RoundFile, clock: WeekClock) -> StopSheet:
    row, site = stop.row, stop.row.site
    ahead = clock.ahead_minutes(site.zone, file.row.day)
    local = span_text(row.arrive_minute + ahead, row.leave_minute + ahead) if ahead else ""
    fans = [fan_sheet(each) for each in stop.fans]
    return StopSheet(
        number=stop.number,
        key=str(row.key),
        site=site,
        work=fans_text([FanLine(work) for fan in stop.fans for work in fan.planned]),
        times=span_text(row.arrive_minute, row.leave_minute),
        local=local,
        facts=list(_facts(stop, file.row.day.weekday())),
        blockers=[_blocker(each, file) for each in stop.blockers],
        notes=list(_notes(stop)),
        fans=fans,
        tables=reading_tables(fans),
        looks=look_lines(fans),
        cautions=_cautions(stop),
    )


def _facts(stop: StopFile, weekday: int) -> Iterator[tuple[str, str]]:
    site = stop.row.site
    minutes = ngettext("{count} minute", "{count} minutes", site.access_minutes)
    way_up = minutes.format(count=site.access_minutes)
    yield _("Way up"), "; ".join(filter(None, [way_up, site.access_notes]))
    if site.roof_access_hours is not None:
        yield _("Roof open"), _that_day(site.roof_access_hours[weekday])
    must_stop = _to_be_stopped(stop)
    if site.fan_stop_hours is not None:
        told = _that_day(site.fan_stop_hours[weekday])
        if must_stop:
            told = _("{hours}; to be stopped: {fans}").format(hours=told, fans=must_stop)
        yield _("Fans may stop"), told
    elif must_stop:
        told = _("no hours on record, agree them with the kitchen; to be stopped: {fans}")
        yield _("Fans may stop"), told.format(fans=must_stop)
    if site.lift_notes:
        yield _("Lift, crane"), site.lift_notes
    if site.owner.phone:
        yield _("Owner"), f"{site.owner.name}, {site.owner.phone}"


def _to_be_stopped(stop: StopFile) -> str:
    """Fans whose work wants them standing still."""
    return ", ".join(
        fan.fan.tag for fan in stop.fans if any(told.rule in STOPPED_FOR for told in fan.dates)
    )


def _that_day(spans: Sequence[Sequence[int]]) -> str:
    return ", ".join(span_text(begin, end) for begin, end in spans) or _("not that day")


def _blocker(blocker: Blocker, file: RoundFile) -> str:
    """``Waits for a lift (EF-2): scissor lift, 12 m; there from Mon 7 Dec 2026.``"""
    fan = f" ({blocker.fan.tag})" if blocker.fan else ""
    what = f"{words(BLOCKER_WORDS, blocker.kind)}{fan}"
    if blocker.cleared_on is None:
        told = _("Waits for {what}; nobody has said from when it is there.").format(what=what)
    elif blocker.cleared_on > file.row.day:
        told = _("Waits for {what}, there only from {day}.")
        told = told.format(what=what, day=day_text(blocker.cleared_on))
    else:
        told = _("Was waiting for {what}, to be there from {day}: see that it is.")
        told = told.format(what=what, day=day_text(blocker.cleared_on))
    note = blocker.note.strip().rstrip(".")
    return f"{told} {upper_first(note)}." if note else told


def _notes(stop: StopFile) -> Iterator[str]:
    row, booking = stop.row, stop.row.booking
    if stop.skills:
        yield f"{upper_first(needs_text(stop.skills))}."
    lacking = skills_lacking(row.round, stop.skills)
    yield from (f"{upper_first(broken_text(code, lacking))}." for code in row.broken)
    if row.extra_minutes:
        yield upper_first(beside_text(row))
    elif booking is not None and row.keeps_hours and booking.note:
        yield booking.note
    if booking is not None and booking.withdrawn_at:
        yield _("Withdrawn since this was published: {why}.").format(why=booking.withdrawn_reason)
    elif booking is not None and booking.sequence != row.booking_seen:
        yield _("Booked otherwise since this was published: {when}.").format(
            when=when_booked_text(booking)
        )
    if not stop.fans:
        yield _("No work on its fans is planned.")


def _cautions(stop: StopFile) -> list[str]:
    """What this roof's fans add, each sentence once with the fans that it holds for."""
    found: dict[str, list[str]] = {}
    for fan in stop.fans:
        for told in cautions_at(fan):
            found.setdefault(told, []).append(fan.fan.tag)
    return [f"{', '.join(tags)}: {told}" for told, tags in found.items()]
