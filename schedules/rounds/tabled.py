"""A week's rounds as a table, one row for each stop."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any

from django.utils.translation import gettext as _

from config.spreadsheets import csv_bytes
from schedules.models import PlannedRound
from schedules.office import office
from schedules.rounds.sheet import StopLine, WeekSheet
from schedules.rounds.telling import fans_text
from schedules.wording.rounds import skills_text


def csv_of(sheet: WeekSheet) -> bytes:
    """All rounds in order of day, person and place; clock times are the office's."""
    return csv_bytes(_headings(office().zone.key), _rows(sheet))


def _headings(zone: str) -> list[str]:
    clock = [_("Sets out"), _("Arrives"), _("Begins"), _("Leaves"), _("Back")]
    out, arrives, begins, leaves, back = (f"{each} ({zone})" for each in clock)
    return [
        _("Week"), _("Version"), _("Day"), _("Technician"), out, _("Stop"), _("Site"),
        _("Address"), _("Latitude (°)"), _("Longitude (°)"), _("Driving there (min)"),
        _("Driving there (km)"), arrives, begins, leaves, _("Access and work (min)"),
        _("Waiting there (min)"), _("Work due"), _("Taken along"), _("Why this week"),
        _("Qualified for"), _("Breaks"),
        _("Pinned"), back,
    ]  # fmt: skip


def _rows(sheet: WeekSheet) -> Iterator[list[Any]]:
    version = sheet.version
    named = [str(version.plan), version.number or _("draft")]
    for row in sheet.rounds:
        for line in sheet.stops_of(row):
            yield [*named, *_row(row, line)]


def _row(row: PlannedRound, line: StopLine) -> list[Any]:
    stop, day = line.row, row.day
    site = stop.site
    return [
        day.isoformat(), row.technician.called, _clock(day, row.leave_minute), stop.position,
        site.name, " ".join(site.address.split()), site.latitude, site.longitude,
        stop.travel_minutes, round(stop.travel_m / 1000, 1), _clock(day, stop.arrive_minute),
        _clock(day, stop.start_minute), _clock(day, stop.leave_minute), stop.work_minutes,
        line.waiting_minutes, fans_text(line.due), fans_text(line.forward), line.reason,
        skills_text(line.skills), "; ".join(line.breaks), _("yes") if stop.pinned else "",
        _clock(day, row.back_minute),
    ]  # fmt: skip


def _clock(day: date, minute: int) -> str:
    """``2026-12-08 07:45``: with its day, for a round may end after midnight."""
    at = datetime.combine(day, time()) + timedelta(minutes=minute)
    return f"{at:%Y-%m-%d %H:%M}"
