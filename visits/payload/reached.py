"""What a visit says it did not reach and yet answers: one of the two cannot be so."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from fleet.quantities import WALK_THROUGH_DIRECT
from visits.limits import answered_entries
from visits.payload.entries import CheckEntry, NotReachedEntry, VisitEntry
from visits.payload.fields import Fields


def refuse_unreached_yet_answered(fields: Fields, visit: VisitEntry) -> None:
    """Complain of a fan not reached whose whole list is answered, and of an item answered itself.

    What was not reached leaves a walk-through not completed, whatever is answered: taken as it
    stands, either the answers or the fan's next date would be wrong.  Part of the list may well be
    answered of a fan nobody came near: whether it runs, say, and how it sounds.
    """
    for missed in visit.not_reached:
        answered = _answered(visit.checks, missed.fan)
        if _is_answered(missed, answered):
            fields.complain(
                missed.pointer.removeprefix(f"{fields.pointer}/"),
                _("it was not reached, and yet it is answered"),
                missed.item or missed.fan,
                _("take out the answers nobody saw, or that it was not reached"),
            )


def _is_answered(missed: NotReachedEntry, answered: frozenset[str]) -> bool:
    if missed.item:
        return missed.item in answered
    return answered.issuperset(WALK_THROUGH_DIRECT)


def _answered(checks: Iterable[CheckEntry], fan: str) -> frozenset[str]:
    """Entries of the lists that this fan's check as found answers."""
    same = [c for c in checks if c.stage == "as_found" and c.fan.casefold() == fan.casefold()]
    return frozenset().union(*(_entries(check) for check in same))


def _entries(check: CheckEntry) -> frozenset[str]:
    """Readings as typed count too: over range, say, has no figure for its column."""
    told = check.readings
    open_ended = {n: v["qualifier"] for n, v in told.typed.items() if v.get("qualifier")}
    given = {name: value for name, value in told.columns.items() if value is not None}
    return answered_entries({**open_ended, **given})
