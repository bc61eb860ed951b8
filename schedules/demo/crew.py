"""The demo fleet's crew and what its roofs wait for: bases, shifts, leave, blockers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from fleet.models import Blocker, Fan, Person, Site
from fleet.opening import parse_opening
from fleet.services.blockers import enter_blocker
from fleet.services.working import give_days_off, set_working_week


@dataclass(frozen=True, slots=True)
class _Base:
    username: str
    base: str
    latitude: float
    longitude: float
    hours: str
    overtime_minutes: int = 60


BASES = (
    _Base("ruta", "4 Ropemaker Court, Old Sorrel", 30.526, -88.676, "Mon-Fri 6:00-14:30"),
    _Base("col", "31 Osier Road, Wexcombe", 30.738, -88.598, "Mon-Fri 7:00-15:30"),
    _Base("ines", "9 Teasel Walk, Cinder Bend", 30.601, -88.549, "Mon-Thu 6:00-16:00"),
    _Base("jory", "17 Saltern Row, Tidemarsh", 30.389, -88.607, "Mon-Fri 8:00-16:30", 0),
)
OFF, OFF_REASON = ("jory", 2), "dentist"
"""Who is away, and on which weekday of the next working week, Monday being 0."""
BLOCKERS = (
    ("Tannevale Silo Court", "", Blocker.Kind.LIFT, "hatch welded shut; boom lift ordered", 2),
    ("Brackenmoor Marrowby Lower", "", Blocker.Kind.PERMIT, "roof works permit, asked", None),
    ("Tannevale Saddler Row", "", Blocker.Kind.SECOND_PERSON, "ladder without a cage", None),
    ("Tannevale Kiln Corner", "EF-2", Blocker.Kind.PARTS, "hinge kit on back order", 8),
)
"""Site, fan, kind, note, and when it is cleared, as far as anybody knows: days from that Monday."""


def make_crew(*, now: datetime, today: date) -> None:
    """Put all of it on record; sites and fans that a small fleet lacks are passed over."""
    people = {person.username: person for person in Person.objects.filter(role="technician")}
    for base in BASES:
        set_working_week(
            technician=people[base.username],
            facts={
                "base": base.base, "latitude": base.latitude, "longitude": base.longitude,
                "hours": parse_opening(base.hours).spans,
                "overtime_minutes": base.overtime_minutes, "reserve_minutes": 60,
            },
            by=None,
            now=now,
        )  # fmt: skip
    username, weekday = OFF
    monday = today + timedelta(days=-today.weekday() % 7)
    day = monday + timedelta(days=weekday)
    give_days_off(
        technician=people[username], first_on=day, last_on=day, reason=OFF_REASON, by=None, now=now
    )
    for name, tag, kind, note, days in BLOCKERS:
        cleared = None if days is None else monday + timedelta(days=days)
        _block(name, tag, kind, note, today, cleared, now)


def _block(
    name: str, tag: str, kind: str, note: str, today: date, cleared: date | None, now: datetime
) -> None:
    site = Site.objects.filter(name=name).first()
    fan = Fan.objects.filter(site=site, tag=tag).first() if tag else None
    if site is None or (tag and fan is None):
        return
    facts = {
        "fan": fan, "kind": kind, "note": note, "since_on": today - timedelta(days=12),
        "cleared_on": cleared,
    }  # fmt: skip
    enter_blocker(site=site, facts=facts, by=None, now=now)
