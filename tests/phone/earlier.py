"""A visit that was logged before anybody takes the phone."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from fleet.models import Person
from tests.visits.roofs import check, visit
from visits.models import Visit
from visits.services import record_visit


def earlier_visit(by: Person, **parts: Any) -> Visit:
    """A visit of three days ago, logged elsewhere by the same person."""
    began = timezone.now() - dt.timedelta(days=3)
    checks = check(seen={"hinge": "sound"}, readings={"speed_rpm": 880}, notes="Wet roof")
    payload = visit(checks, kind="maintenance", **parts) | {"began_at": began.isoformat()}
    return record_visit(payload=payload, by=by, now=timezone.now()).visit
