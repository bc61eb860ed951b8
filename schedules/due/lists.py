"""The due list: which fans, by when, why; asked of stored rows with today, page after page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice

from django.db.models import Count, Q, QuerySet

from schedules.due.lines import WEEK_DAYS, DueLine, lines_of
from schedules.due.local_days import LocalDays
from schedules.engine.codes import STOP
from schedules.models import DueState

PAGE = 50
SECTIONS = ("overdue", "week", "later")
"""Overdue; due by this day a week on, grace running or not yet begun; the rest."""
PARTS = tuple((section, stopped) for section in SECTIONS for stopped in (True, False))
"""Each section's stops stand before its other lines, both in order of day."""


class PageKeyError(ValueError):
    """A page key that no page of ours gave out."""


@dataclass(frozen=True)
class PageKey:
    """The last line of a page; the next page begins after it."""

    section: str
    is_stop: bool
    due_on: date
    fan_id: int

    def __str__(self) -> str:
        return f"{self.section}.{self.is_stop:d}.{self.due_on}.{self.fan_id}"

    @property
    def part(self) -> tuple[str, bool]:
        """The part of the list it stands in, one of PARTS."""
        return self.section, self.is_stop

    @staticmethod
    def parse(text: str) -> PageKey:
        """The key in an address; PageKeyError says what to do with a broken one."""
        try:
            section, stopped, due_on, fan_id = text.split(".")
            is_stop = bool(("0", "1").index(stopped))
            key = PageKey(section, is_stop, date.fromisoformat(due_on), int(fan_id))
        except ValueError:
            key = None
        if key is None or key.part not in PARTS or not 0 < key.fan_id < 2**63:
            raise PageKeyError(
                f"{text[:60]!r} is no page of this list; start again from its first page."
            )
        return key


@dataclass(frozen=True)
class DueFilters:
    """What a list is narrowed to; None leaves it open.

    ``rule`` drives the due or the overdue day, ``verdict`` is the least bad one still listed (by
    VERDICT_ORDER), ``within_days`` counts from today and lists what is past as well.
    """

    owner: int | None = None
    site: int | None = None
    rule: int | None = None
    verdict: int | None = None
    within_days: int | None = None
    overdue: bool = False


@dataclass(frozen=True)
class DuePage:
    """Lines in order of section, stops first, and day; ``next_key`` is None on the last page."""

    lines: Sequence[DueLine]
    next_key: PageKey | None


def filtered(
    states: QuerySet[DueState], filters: DueFilters, days: LocalDays
) -> QuerySet[DueState]:
    """The rows that a list's filters leave."""
    if filters.owner is not None:
        states = states.filter(owner=filters.owner)
    if filters.site is not None:
        states = states.filter(site=filters.site)
    if filters.rule is not None:
        states = states.filter(Q(due_rule=filters.rule) | Q(overdue_rule=filters.rule))
    if filters.verdict is not None:
        states = states.filter(worst_verdict__gte=filters.verdict)
    if filters.within_days is not None:
        ahead = timedelta(days=filters.within_days)
        states = states.filter(days.matching(lambda today: Q(due_on__lte=today + ahead)))
    return states


def overdue(days: LocalDays) -> Q:
    """Rows overdue on their site's today."""
    # the bound on due_on follows from the other and lets the index by day be used
    return days.matching(lambda today: Q(overdue_after__lt=today, due_on__lt=today))


def due_page(
    states: QuerySet[DueState],
    *,
    days: LocalDays,
    filters: DueFilters | None = None,
    after: PageKey | None = None,
    size: int = PAGE,
    whole: bool = False,
) -> DuePage:
    """The lines after ``after``, at most ``size``; ``whole`` as of ``lines_of``.

    ``states`` are the rows somebody may see.  Fans without any date are in ``undated``.
    """
    filters = filters or DueFilters()
    rows = filtered(states, filters, days).select_related("fan", "site", "owner")
    parts = PARTS[:2] if filters.overdue else PARTS
    found = list(islice(_rows(rows, parts, days, after, size + 1), size + 1))
    lines = lines_of(found[:size], days, whole=whole)
    if len(found) <= size:
        return DuePage(lines, None)
    section, last = found[size - 1]
    key = PageKey(section, last.worst_verdict == STOP, last.due_on or date.max, last.fan_id)
    return DuePage(lines, key)


@dataclass(frozen=True)
class Counts:
    """How many fans are overdue, and how many more are due within a week."""

    overdue: int
    week: int


def count_due(states: QuerySet[DueState], days: LocalDays) -> Counts:
    """Counts over all pages, in one query."""
    week = timedelta(days=WEEK_DAYS)
    soon = states.filter(days.matching(lambda today: Q(due_on__lte=today + week)))
    told = soon.aggregate(
        overdue=Count("fan_id", filter=overdue(days)),
        week=Count("fan_id", filter=_in_section("week", days)),
    )
    return Counts(**told)


def undated(states: QuerySet[DueState]) -> QuerySet[DueState]:
    """Fans that no rule gives a day: never reckoned, or their record could not be read."""
    return states.filter(due_on=None).select_related("fan", "site").order_by("fan_id")


def _rows(
    states: QuerySet[DueState],
    parts: Sequence[tuple[str, bool]],
    days: LocalDays,
    after: PageKey | None,
    most: int,
) -> Iterator[tuple[str, DueState]]:
    """Rows with their section; each part asks the database only if the page is not full yet."""
    if after is not None:
        parts = parts[parts.index(after.part) :] if after.part in parts else ()
    for section, stopped in parts:
        rows = states.filter(_in_section(section, days), _at_stop(stopped))
        if after is not None and (section, stopped) == after.part:
            beyond = Q(due_on__gt=after.due_on) | Q(fan__gt=after.fan_id)
            rows = rows.filter(beyond, due_on__gte=after.due_on)
        yield from ((section, state) for state in rows.order_by("due_on", "fan_id")[:most])


def _at_stop(stopped: bool) -> Q:
    return Q(worst_verdict=STOP) if stopped else Q(worst_verdict__lt=STOP)


def _in_section(section: str, days: LocalDays) -> Q:
    week = timedelta(days=WEEK_DAYS)
    if section == "overdue":
        return overdue(days)
    if section == "week":
        return days.matching(lambda today: Q(due_on__lte=today + week, overdue_after__gte=today))
    return days.matching(lambda today: Q(due_on__gt=today + week))
