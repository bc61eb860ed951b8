"""Which of one's own visits can be put right on a phone, as they may be sent again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from fleet.models import Fan, Person
from visits.models import Visit
from visits.services.rewritten import Payload, rewrite_visits

OF_A_FAN = (
    "checks", "findings", "actions", "recommendations", "decisions", "not_reached", "made_safe",
    "plates",
)  # fmt: skip


def own_payloads(visits: Iterable[Visit], person: Person) -> Mapping[UUID, Payload]:
    """Those of these visits that the person made or logged, as payloads; sites come with them."""
    who = person.pk
    return rewrite_visits(
        visit for visit in visits if who in (visit.recorded_by_id, visit.technician_id)
    )


def fits_a_phone(payload: Payload, fan: Fan) -> bool:
    """Whether the form of one fan holds all of a visit: what it cannot would be lost.

    The form tells of one fan, one slip and the inspection of that fan's system.  A new machine's
    nameplate is put right in the register.
    """
    rows: list[Any] = [row for name in OF_A_FAN for row in payload.get(name, ())]
    if any(row.get("fan", fan.tag) != fan.tag for row in rows):
        return False
    if any(row.get("item") == "machine" for row in payload.get("actions", ())):
        return False
    inspected = [row["system"] for row in payload.get("inspections", ())]
    wanted = [fan.system.name] if payload["kind"] == "code_inspection" else []
    return inspected == wanted and len(payload.get("made_safe", ())) <= 1
