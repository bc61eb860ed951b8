"""Reads what is told apart from visits: events, the owner's answers, findings closed."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.quantities import GREASE_PLACES
from visits.payload.entries import AnswerEntry, ClosingEntry, EventEntry, Place
from visits.payload.fields import LONG, Fields
from visits.payload.moments import Moment
from visits.payload.visit import (
    NO_DAY,
    read_decision,
    read_place,
    refuse_endless,
    refuse_unreasoned,
)

LONGEST_DAYS = {
    "hood_cleaning": 31, "storm": 31, "power_event": 366, "kitchen_change": 731,
    "breaker_reset": 366,
}  # fmt: skip
"""By kind, our choice: crews need nights, power may be out for months, a kitchen closed for over a
year, and resets are counted from one visit to the next."""
EVENT_KINDS = tuple(LONGEST_DAYS)
CALLED = {
    "hood_cleaning": gettext_lazy("hood cleaning"), "storm": gettext_lazy("storm"),
    "power_event": gettext_lazy("power event"), "kitchen_change": gettext_lazy("kitchen change"),
    "breaker_reset": gettext_lazy("breaker reset"),
}  # fmt: skip


def read_event(fields: Fields, id_: UUID, sha256: str) -> EventEntry:
    """The event; ``ended`` follows ``started`` where it was left out."""
    started = fields.moment("started", must=True) or Moment(NO_DAY)
    resets = fields.number("resets", 0, 1000)
    event = EventEntry(
        id=id_,
        sha256=sha256,
        place=read_place(fields),
        kind=fields.choice("kind", EVENT_KINDS, must=True),
        system=fields.text("system", longest=80),
        fan=fields.text("fan", longest=40),
        started=started,
        ended=fields.moment("ended") or started,
        crew=fields.text("crew", longest=120),
        tipped=fields.words("tipped", 200),
        places_cleaned=fields.words("places_cleaned", 3, GREASE_PLACES),
        places_not_cleaned=fields.words("places_not_cleaned", 3, GREASE_PLACES),
        wheel_cleaned=bool(fields.flag("wheel_cleaned")),
        resets=None if resets is None else int(resets),
        running_on=fields.day("running_on"),
        note=fields.text("note", longest=LONG),
        supersedes=fields.identity("supersedes"),
        correction_reason=fields.text("correction_reason"),
    )
    refuse_unreasoned(fields, event.supersedes, event.correction_reason)
    _refuse_both(fields, event)
    # of an unknown kind at least what no kind takes is told
    most = LONGEST_DAYS.get(event.kind, max(LONGEST_DAYS.values()))
    called = CALLED.get(event.kind) or _("event")
    refuse_endless(fields, "ended", event.started, event.ended, most, str(called))
    return event


def _refuse_both(fields: Fields, event: EventEntry) -> None:
    both = sorted(set(event.places_cleaned) & set(event.places_not_cleaned))
    if both:
        fields.complain(
            "places_not_cleaned", _("a place both cleaned and not cleaned"), both,
            _("keep each place in one of the two lists"),
        )  # fmt: skip


def read_answer(fields: Fields, id_: UUID, sha256: str) -> AnswerEntry:
    """A decision told by itself: to a recommendation, or on a subject of a fan at a site.

    A link is asked for on a visit, which its letter is owed for.
    """
    decision = read_decision(fields)
    if decision.recommendation and decision.answer == "by_link":
        remedy = _("send it with a visit, among its decisions")
        fields.complain("answer", _("a link is asked for on a visit"), decision.answer, remedy)
    place = Place() if decision.recommendation else read_place(fields)
    return AnswerEntry(id=id_, sha256=sha256, decision=replace(decision, place=place))


def read_closing(fields: Fields, id_: UUID, sha256: str) -> ClosingEntry:
    """A finding closed with a reason."""
    return ClosingEntry(
        id=id_,
        sha256=sha256,
        finding=fields.identity("finding", must=True) or UUID(int=0),
        closed_on=fields.day("closed_on", must=True) or NO_DAY,
        reason=fields.text("reason", must=True),
        closed_by=fields.text("closed_by", longest=150),
    )
