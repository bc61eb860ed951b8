"""Small fleets straight in the tables, for tests that start below the doors."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from fleet.models import ExhaustSystem, Fan, Machine, Owner, Site
from visits.models import Check, Visit

NOW = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)
SOUND: dict[str, str] = {
    "running": "runs",
    "noise": "usual",
    "vibration_felt": "none",
    "motor_vents": "clear",
    "corrosion": "none",
    "hinge": "sound",
    "catch": "engaged",
    "cable": "sound",
    "switch_cover": "tight",
    "wheel": "clean",
    "grease_box": "fine",
    "guard": "on",
    "curb": "tight",
}


def make_fan(tag: str = "EF-1", **site: Any) -> Fan:
    """A direct-drive fan on a roof of its own, entered on 1 January 2026."""
    owner, _ = Owner.objects.get_or_create(name="Alder Kitchens")
    facts = {"time_zone": "America/Chicago", **site}
    place = Site.objects.create(owner=owner, name=f"Roof of {tag}", **facts)
    system = ExhaustSystem.objects.create(site=place, name="Main line")
    fan = Fan.objects.create(site=place, system=system, tag=tag, entered_on=dt.date(2026, 1, 1))
    Machine.objects.create(fan=fan, power_hp=0.5, speed_rpm=1140)
    return fan


def walk(fan: Fan, on: str, verdicts: dict[str, str] | None = None, **seen: Any) -> Check:
    """One complete walk-through of the fan at 10:00 of that day, judged as told."""
    began = dt.datetime.fromisoformat(f"{on}T10:00").replace(tzinfo=fan.site.zone)
    visit = Visit.objects.create(
        kind="walk_through",
        site=fan.site,
        began_at=began,
        local_on=began.date(),
        local_minute=600,
        received_at=timezone.now(),
        payload_sha256="0" * 64,
    )
    return Check.objects.create(
        visit=visit,
        fan=fan,
        began_at=began,
        judged=verdicts or {},
        **{"machine": fan.machines.get(removed_on=None), **SOUND, **seen},
    )


def inspected(fan: Fan, **seen: Any) -> None:
    """Keep the code inspection out of the way: one was just made."""
    visit = walk(fan, "2026-06-01", **seen).visit
    visit.inspections.create(system=fan.system, qualified=True)
