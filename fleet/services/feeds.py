"""How a fan is fed and controlled: another supply, drive or protection from a day on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.forms.models import model_to_dict

from fleet.models import Fan, Feed, Person
from fleet.services.plates import refuse_impossible_feed
from fleet.services.rows import fill, keep

FEED_FIELDS = frozenset(f.name for f in Feed._meta.concrete_fields) - {"id", "fan", "valid_from"}


@transaction.atomic
def change_feed(
    *, fan: Fan, valid_from: date | None, feed: Mapping[str, Any], by: Person | None, now: datetime
) -> Feed:
    """Say what feeds the fan from ``valid_from`` (None: since always).

    What ``feed`` leaves out stays as it was before that day; the same day said again is corrected.
    Raises RegisterError for unknown fields and impossible values.
    """
    known = list(fan.feeds.select_for_update(no_key=True))
    same = next((row for row in known if row.valid_from == valid_from), None)
    row = same or _carried_on(fan, known, valid_from)
    fill(row, feed, FEED_FIELDS, "a feed")
    refuse_impossible_feed(row, fan.machines.filter(removed_on=None).first(), now)
    keep(row, by, now, f"feed from {valid_from or 'the start'}")
    return row


def _carried_on(fan: Fan, known: list[Feed], valid_from: date | None) -> Feed:
    """A new feed that begins as the one before it was."""
    before = [
        row for row in known
        if valid_from and (row.valid_from is None or row.valid_from < valid_from)
    ]  # fmt: skip
    carried = model_to_dict(before[-1], fields=sorted(FEED_FIELDS)) if before else {}
    return Feed(fan=fan, valid_from=valid_from, **carried)
