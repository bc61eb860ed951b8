"""Failures put straight on record, for tests of what keeps failing."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from fleet.models import Fan
from schedules.models import Pattern
from visits.models import Action, Decision, Event, Finding, Recommendation, Visit

NOW = dt.datetime(2026, 6, 15, 12, tzinfo=dt.UTC)


def visited(fan: Fan, on: str) -> Visit:
    began = dt.datetime.fromisoformat(f"{on}T10:00").replace(tzinfo=fan.site.zone)
    return Visit.objects.create(
        kind="service_call",
        site=fan.site,
        began_at=began,
        local_on=began.date(),
        received_at=timezone.now(),
        payload_sha256="0" * 64,
    )


def failed(fan: Fan, on: str, item: str = "switch", *, mended: bool = True, **more: Any) -> Finding:
    """A loss of function found and, unless told otherwise, repaired on that day."""
    visit = visited(fan, on)
    if mended:
        Action.objects.create(visit=visit, fan=fan, kind="replaced", item=item)
    facts = {"subject": item, "severity": "critical", "verdict": "stop", "loss_of_function": True}
    machine = fan.machines.get(removed_on=None)
    return Finding.objects.create(
        visit=visit, fan=fan, machine=machine, item=item, **{**facts, **more}
    )


def corrected(finding: Finding, **changes: Any) -> Finding:
    """The visit told anew, with that finding otherwise."""
    old = finding.visit
    new = visited(finding.fan, f"{old.local_on}")
    new.supersedes, new.correction_reason = old, "told wrongly"
    new.save()
    for action in old.actions.all():
        Action.objects.create(visit=new, fan=action.fan, kind=action.kind, item=action.item)
    facts = Finding._meta.concrete_fields[1:]
    kept = {f.attname: getattr(finding, f.attname) for f in facts}
    return Finding.objects.create(**{**kept, "visit_id": new.pk, **changes})


def pattern_of(fan: Fan, **more: Any) -> Pattern:
    """A row as the turn of the timetable writes it, without its failures."""
    figures = {
        "years": 2.0, "others": 1, "others_years": 60.0, "ratio": 60.0, "lower": 3.1,
        "upper": 3538.0, "chance": 0.003, "discovery": 0.2, "motor_type": "", "drive": "direct",
    }  # fmt: skip
    facts: dict[str, Any] = {
        "item": "switch", "failures": 2, "first_on": "2025-09-01", "last_on": "2026-05-01",
        "found_on": "2026-05-01", "closest_days": 242, "again_soon": True, "by_rate": False,
        "figures": figures, "as_of": "2026-05-02", "raised_at": NOW, "changed_at": NOW,
    }  # fmt: skip
    row = Pattern.objects.create(fan=fan, **{**facts, **more})
    row.refresh_from_db()
    return row


def tipped(fan: Fan, on: str = "2026-05-01", crew: str = "Night crew", **event: Any) -> Event:
    """A hood cleaning of that day at which the fan was tipped."""
    facts = {"kind": "hood_cleaning", "started_on": on, "ended_on": on, "system": fan.system}
    row = Event.objects.create(
        site=fan.site, crew=crew, received_at=NOW, payload_sha256="0" * 64, **{**facts, **event}
    )
    row.tipped_fans.add(fan)
    return row


def advised(fan: Fan, on: str, answer: str = "") -> Recommendation:
    """Advice on the switch, and what its owner said to it."""
    visit = visited(fan, on)
    row = Recommendation.objects.create(
        visit=visit, fan=fan, subject="switch_feel", text="Renew the switch."
    )
    if answer:
        Decision.objects.create(
            recommendation=row, fan=fan, subject="switch_feel", answer=answer, decided_on=on,
            decided_by="Olga", received_at=NOW, payload_sha256="0" * 64,
        )  # fmt: skip
    return row
