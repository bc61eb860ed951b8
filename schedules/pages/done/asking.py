"""What a page of figures is asked for, read from its address, and addresses that ask the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest

from fleet.models import Person
from schedules.done.figures import MOST_WEEKS, Done, monday_of, read_done, weeks_until
from schedules.done.judging import NOT_DONE, Judged, Outcome
from schedules.done.parameters import DEFAULT_DONE
from schedules.done.planned import WEEK
from schedules.done.seen import Narrowed
from schedules.office import office
from schedules.rounds.clocks import week_named
from schedules.rounds.errors import WeekPlanError
from schedules.weeks import iso_week

DONE, NOT = "done", "not_done"
GROUPS: Mapping[str, frozenset[Outcome]] = {
    DONE: frozenset({Outcome.KEPT, Outcome.LATER}),
    NOT: frozenset(NOT_DONE),
    **{outcome.value: frozenset({outcome}) for outcome in Outcome},
}


@dataclass(frozen=True)
class Asked:
    """Weeks by their Mondays, whose figures, and which of them; None for all."""

    first: date
    last: date
    technician: int | None = None
    site: int | None = None
    owner: int | None = None
    outcome: str = ""
    reason: str = ""

    def address(self, **changes: Any) -> str:
        """The same as parameters, with some changed."""
        each = replace(self, **changes)
        told = {field.name: getattr(each, field.name) for field in fields(each)}
        told |= {"first": iso_week(each.first), "last": iso_week(each.last)}
        return urlencode({name: value for name, value in told.items() if value not in (None, "")})

    def read(self, now: datetime) -> Done:
        """What the weeks came to, for whom it was asked."""
        narrowed = Narrowed(site=self.site, owner=self.owner)
        return read_done(self.first, self.last, now, narrowed, self.technician)

    def holds(self, each: Judged) -> bool:
        """Whether it is among those asked for."""
        outcomes = GROUPS.get(self.outcome)
        if outcomes is not None and each.outcome not in outcomes:
            return False
        return not self.reason or (each.word is not None and each.word.reason == self.reason)


def member_of_company(request: HttpRequest) -> Person:
    """Who asks; for owners there is no such page."""
    person: Any = request.user
    if not person.works_here:
        raise Http404
    return person


def asked_by(told: Mapping[str, str], person: Person, now: datetime) -> Asked:
    """What an address asks for; a technician always asks for their own.

    Http404 for weeks and numbers that nobody could mean.
    """
    today = now.astimezone(office().zone).date()
    last = _monday(told.get("last", "")) or monday_of(today)
    first = _monday(told.get("first", ""))
    first = first or weeks_until(last, DEFAULT_DONE.weeks_shown)[0]
    if first > last:
        first, last = last, first
    first = max(first, last - WEEK * (MOST_WEEKS - 1))
    outcome = told.get("outcome", "")
    if outcome and outcome not in GROUPS:
        raise Http404
    technician = _number(told.get("technician", "")) if person.plans else person.pk
    return Asked(
        first, last, technician, _number(told.get("site", "")), _number(told.get("owner", "")),
        outcome, told.get("reason", ""),
    )  # fmt: skip


def _monday(week: str) -> date | None:
    if not week:
        return None
    try:
        return week_named(week)
    except WeekPlanError as error:
        raise Http404(str(error)) from error


def _number(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 19):
        raise Http404
    return int(text)
