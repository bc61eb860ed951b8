"""A row of the register filled with what somebody said, checked, and kept with its history."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils.translation import gettext as _

from fleet.models import Person
from fleet.services.errors import RegisterError, refuse_invalid
from fleet.writing import save_told

R = TypeVar("R", bound=Model)


def fill(row: Model, facts: Mapping[str, Any], known: frozenset[str], what: str) -> bool:
    """Set the fields named in ``facts``; whether any of them differs from before.

    Raises RegisterError for a field that ``what`` does not have.
    """
    unknown = sorted(set(facts) - known)
    if unknown:
        told = {"what": what, "names": ", ".join(unknown), "known": ", ".join(sorted(known))}
        raise RegisterError(_("%(what)s has no %(names)s; it has %(known)s") % told)
    before = {name: getattr(row, name) for name in facts}
    for name, value in facts.items():
        setattr(row, name, value)
    return before != dict(facts)


def check(row: Model, *, alone: bool = False) -> None:
    """Raise RegisterError for values that the model or a constraint cannot take.

    ``alone`` looks at each field by itself only.
    """
    try:
        row.full_clean(validate_unique=not alone, validate_constraints=not alone)
    except ValidationError as error:
        raise refuse_invalid(error) from error


def keep(row: Model, by: Person | None, now: datetime, why: str) -> None:
    """Check the row and save it; one who was quicker with the same name is told like any other."""
    check(row)
    try:
        with transaction.atomic():
            save_told(row, by, now, why)
    except IntegrityError:
        check(row)
        raise


def hold(row: R) -> R:
    """The row as it stands, for nobody else to change until this transaction is done.

    What hangs on it can be written meanwhile: a visit to a site does not wait for its edit.
    """
    held: R = type(row)._default_manager.select_for_update(no_key=True).get(pk=row.pk)
    return held


@transaction.atomic
def edit(row: R, change: Callable[[R], bool], by: Person | None, now: datetime) -> R:
    """Keep what ``change`` makes of a row, held so that nobody else's edit is lost.

    ``change`` says whether anything differs.  Raises RegisterError as ``keep``.
    """
    held = hold(row)
    if change(held):
        keep(held, by, now, "edited")
    return held
