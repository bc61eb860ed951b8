"""Payloads that the people of our tests send, about the fans of ``tests.people.roofs``."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from fleet.models import Fan
from tests.api.asking import V1
from tests.visits.roofs import WITHIN

VISITS, EVENTS, BATCH = f"{V1}/visits", f"{V1}/events", f"{V1}/visits/batch"


def walk(fan: Fan, on: str = "2026-03-02T09:10", **parts: Any) -> dict[str, Any]:
    """A walk-through of one fan at which nothing was found, unless ``checks`` tell otherwise."""
    return {
        "id": str(uuid4()), "kind": "walk_through", "site_id": fan.site_id, "began_at": on,
        "checks": [{"fan": fan.tag, "seen": dict(WITHIN)}], **parts,
    }  # fmt: skip


def look(fan: Fan, on: str = "2026-03-02T09:10", **check: Any) -> dict[str, Any]:
    """A visit at which one fan was looked at as told."""
    return walk(fan, on, checks=[{"fan": fan.tag, **check}])


def corrected(payload: dict[str, Any], **parts: Any) -> dict[str, Any]:
    """A correction of that visit."""
    reason = {"supersedes": payload["id"], "correction_reason": "typed wrong"}
    return {**payload, "id": str(uuid4()), **reason, **parts}


def cleaning(fan: Fan, on: str = "2026-03-05T23:00", **parts: Any) -> dict[str, Any]:
    """A hood cleaning for which the fan was tipped."""
    return {
        "id": str(uuid4()), "kind": "hood_cleaning", "site_id": fan.site_id, "started": on,
        "tipped": [fan.tag], "places_cleaned": ["hood", "duct"], **parts,
    }  # fmt: skip
