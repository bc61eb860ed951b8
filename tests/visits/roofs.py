"""A small roof in the register and payloads about it."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID, uuid4

from fleet.models import ExhaustSystem, Fan, Feed, Machine, Owner, Site
from fleet.quantities import SEEN, WALK_THROUGH_DIRECT
from visits.services import RecordedVisit, record_visit

NOW = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)
PLACE = {"owner": "Alder Kitchens", "site": "Quay Street"}
WITHIN = {
    quantity.name: quantity.states[0].code
    for quantity in SEEN
    if quantity.name in WALK_THROUGH_DIRECT
} | {"vibration_felt": "none"}
"""A walk-through of a direct-drive fan at which nothing was found."""


def make_roof(owner: str = PLACE["owner"], site: str = PLACE["site"], **facts: Any) -> Site:
    """Two fans on one system: EF-1 and EF-2, 230/460 V motors connected for 230 V."""
    kitchens, _ = Owner.objects.get_or_create(name=owner)
    roof = Site.objects.create(
        owner=kitchens, name=site, **{"time_zone": "America/Chicago", **facts}
    )
    system = ExhaustSystem.objects.create(site=roof, name="Main line")
    for tag in ("EF-1", "EF-2"):
        fan = Fan.objects.create(site=roof, system=system, tag=tag, entered_on=dt.date(2026, 1, 1))
        Machine.objects.create(
            fan=fan, volts="230/460", full_load_amps="3.2/1.6", power_hp=1, service_factor=1.15
        )
        Feed.objects.create(
            fan=fan, service_volts=230, connected_volts="230", connected_confirmed=True
        )
    return roof


def check(fan: str = "EF-1", **parts: Any) -> dict[str, Any]:
    """One check of a fan."""
    return {"fan": fan, **parts}


def visit(*checks: dict[str, Any], on: str = "2026-03-02T09:10", **parts: Any) -> dict[str, Any]:
    """A payload of a walk-through on that day, under a fresh id."""
    return {
        "id": str(uuid4()), "kind": "walk_through", **PLACE, "began_at": on,
        "checks": list(checks), **parts,
    }  # fmt: skip


def log(*checks: dict[str, Any], on: str = "2026-03-02T09:10", **parts: Any) -> RecordedVisit:
    """Record such a visit."""
    return record_visit(payload=visit(*checks, on=on, **parts), by=None, now=NOW)


def correct(recorded: RecordedVisit | UUID, *checks: dict[str, Any], **parts: Any) -> RecordedVisit:
    """Record a visit that supersedes another."""
    old = recorded if isinstance(recorded, UUID) else recorded.visit.pk
    return log(*checks, supersedes=str(old), correction_reason="typed wrong", **parts)
