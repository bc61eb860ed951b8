"""What an owner agrees to: a new agreement ends the one before it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.models import Agreement, Owner, Person
from fleet.services.errors import RegisterError, refuse_invalid
from fleet.writing import save_told

AGREEMENT_FIELDS = frozenset(
    {"visits_per_year", "reliability", "stretching_allowed", "spending_limit", "ends_on", "notes"}
)


@transaction.atomic
def change_agreement(
    *, owner: Owner, starts_on: date, terms: Mapping[str, Any], by: Person | None, now: datetime
) -> Agreement:
    """Agree on ``terms`` from ``starts_on``; the same start said again corrects that agreement.

    The agreement in force before ends the day before.  Raises RegisterError for unknown or
    impossible terms.
    """
    unknown = sorted(set(terms) - AGREEMENT_FIELDS)
    if unknown:
        raise RegisterError(
            f"an agreement has no {', '.join(unknown)}; "
            f"it has {', '.join(sorted(AGREEMENT_FIELDS))}"
        )
    known = list(owner.agreements.select_for_update())
    agreement = next((a for a in known if a.starts_on == starts_on), None) or Agreement(
        owner=owner, starts_on=starts_on
    )
    for name, value in terms.items():
        setattr(agreement, name, value)
    try:
        agreement.full_clean()
    except ValidationError as error:
        raise refuse_invalid(error) from error
    _end_before(known, starts_on, by, now)
    save_told(agreement, by, now, f"agreement from {starts_on}")
    return agreement


def _end_before(known: list[Agreement], starts_on: date, by: Person | None, now: datetime) -> None:
    for earlier in known:
        still_on = earlier.ends_on is None or earlier.ends_on >= starts_on
        if earlier.starts_on < starts_on and still_on:
            earlier.ends_on = starts_on - timedelta(days=1)
            save_told(earlier, by, now, f"followed by another from {starts_on}")
