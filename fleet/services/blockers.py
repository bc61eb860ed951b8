"""What visits wait for: entered when somebody learns of it, cleared when it is there."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.models import Blocker, Person, Site
from fleet.services.rows import edit, fill, keep

BLOCKER_FIELDS = frozenset({"fan", "kind", "note", "since_on", "cleared_on"})


def enter_blocker(
    *, site: Site, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> Blocker:
    """Note what visits to a site, or one fan on it, wait for.

    Raises RegisterError for a fan of another site, parts without a fan, or days that do not follow.
    """
    blocker = Blocker(site=site)
    fill(blocker, facts, BLOCKER_FIELDS, "a blocker")
    keep(blocker, by, now, "entered")
    return blocker


def edit_blocker(
    *, blocker: Blocker, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> Blocker:
    """Correct a blocker or say when it is cleared; raises RegisterError as ``enter_blocker``."""
    return edit(blocker, lambda row: fill(row, facts, BLOCKER_FIELDS, "a blocker"), by, now)
