"""Owners, and what they agree to: a new agreement ends the one before it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.models import Agreement, Owner, Person
from fleet.services.errors import refuse
from fleet.services.rows import check, edit, fill, hold, keep
from fleet.writing import save_told

OWNER_FIELDS = frozenset({"name", "email", "phone", "language", "notes"})
AGREEMENT_FIELDS = frozenset(
    {"visits_per_year", "reliability", "stretching_allowed", "spending_limit", "ends_on", "notes"}
)


def enter_owner(*, facts: Mapping[str, Any], by: Person | None, now: datetime) -> Owner:
    """Take an owner into the register; raises RegisterError for a name that is taken."""
    owner = Owner()
    fill(owner, facts, OWNER_FIELDS, "an owner")
    keep(owner, by, now, "entered")
    return owner


def edit_owner(
    *, owner: Owner, facts: Mapping[str, Any], by: Person | None, now: datetime
) -> Owner:
    """Correct what is known of an owner; raises RegisterError as ``enter_owner``."""
    return edit(owner, lambda row: fill(row, facts, OWNER_FIELDS, "an owner"), by, now)


@transaction.atomic
def change_agreement(
    *, owner: Owner, starts_on: date, terms: Mapping[str, Any], by: Person | None, now: datetime
) -> Agreement:
    """Agree on ``terms`` from ``starts_on``; the same start said again corrects that agreement.

    The agreement in force before ends the day before, and one told late the day before the next.
    Raises RegisterError for unknown or impossible terms.
    """
    owner = hold(owner)
    known = list(owner.agreements.select_for_update(no_key=True))
    agreement = next((a for a in known if a.starts_on == starts_on), None) or Agreement(
        owner=owner, starts_on=starts_on
    )
    fill(agreement, terms, AGREEMENT_FIELDS, "an agreement")
    if agreement.ends_on and agreement.ends_on < starts_on:
        raise refuse({"ends_on": f"this lies before the start, {starts_on}; correct one of them"})
    _end_before_next(agreement, known, terms.get("ends_on"))
    check(agreement)
    _end_before(known, starts_on, by, now)
    keep(agreement, by, now, f"agreement from {starts_on}")
    return agreement


def _end_before_next(agreement: Agreement, known: list[Agreement], said: date | None) -> None:
    """No two are in force on one day; refuses an end that was said and lies past the next start."""
    starts = [each.starts_on for each in known if each.starts_on > agreement.starts_on]
    if not starts:
        return
    last = min(starts) - timedelta(days=1)
    if said and said > last:
        raise refuse({"ends_on": f"another agreement begins on {min(starts)}; end this by {last}"})
    agreement.ends_on = min(agreement.ends_on or last, last)


def _end_before(known: list[Agreement], starts_on: date, by: Person | None, now: datetime) -> None:
    for earlier in known:
        still_on = earlier.ends_on is None or earlier.ends_on >= starts_on
        if earlier.starts_on < starts_on and still_on:
            earlier.ends_on = starts_on - timedelta(days=1)
            save_told(earlier, by, now, f"followed by another from {starts_on}")
