"""The due list: which fans, by when, why; asked of stored rows with today, page after page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice

from django.db.models import Count, Q, QuerySet

from schedules.due.answers import read_answer
from schedules.due.bought import Beyond, beyond_bought
from schedules.due.evidence import Evidence, evidence_of
from schedules.due.local_days import LocalDays
from schedules.engine.record import RuleDate
from schedules.models import DueState

PAGE = 50
WEEK_DAYS = 7
SECTIONS = ("overdue", "week", "later")
"""Overdue; due by this day a week on, grace running or not yet begun; the rest."""


class PageKeyError(ValueError):
    """A page key that no page of ours gave out."""


@dataclass(frozen=True)
class PageKey:
    """The last line of a page; the next page begins after it."""

    section: str
    due_on: date
    fan_id: int

    def __str__(self) -> str:
        return f"{self.section}.{self.due_on}.{self.fan_id}"

    @staticmethod
    def parse(text: str) -> PageKey:
        """The key in an address; PageKeyError says what to do with a broken one."""
        try:
            section, due_on, fan_id = text.split(".")
            key = PageKey(section, date.fromisoformat(due_on), int(fan_id))
        except ValueError:
            key = None
        if key is None or key.section not in SECTIONS or not 0 < key.fan_id < 2**63:
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
class DueLine:
    """One fan of a list with all that its line says; ``today`` is its site's.

    ``dates`` are every rule's, earliest first; ``seen`` is what stands behind a finding or a
    vibration, by rule.
    """

    state: DueState
    today: date
    section: str
    dates: Sequence[RuleDate]
    untold: Sequence[str]
    seen: Mapping[int, Evidence]
    beyond: Beyond | None

    @property
    def driving(self) -> RuleDate | None:
        """The rule that gives the due day."""
        return self.dates[0] if self.dates else None

    @property
    def overdue_by(self) -> RuleDate | None:
        """The rule that makes it overdue, where that is another one."""
        number = self.state.overdue_rule
        if number == self.state.due_rule:
            return None
        return next((told for told in self.dates if told.rule == number), None)

    @property
    def days_over(self) -> int:
        """Days past ``overdue_after``; 0 where it is not overdue."""
        after = self.state.overdue_after
        return max(0, (self.today - after).days) if after else 0

    @property
    def days_left(self) -> int | None:
        """Days until due, below 0 once that day is past."""
        return (self.state.due_on - self.today).days if self.state.due_on else None


@dataclass(frozen=True)
class DuePage:
    """Lines in order of section and day; ``next_key`` is None on the last page."""

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
) -> DuePage:
    """The lines after ``after``, at most ``size``.

    ``states`` are the rows somebody may see.  Fans without any date are in ``undated``.
    """
    filters = filters or DueFilters()
    rows = filtered(states, filters, days).select_related("fan", "site", "owner")
    sections = SECTIONS[:1] if filters.overdue else SECTIONS
    found = list(islice(_rows(rows, sections, days, after, size + 1), size + 1))
    lines = lines_of(found[:size], days)
    if len(found) <= size:
        return DuePage(lines, None)
    section, last = found[size - 1]
    return DuePage(lines, PageKey(section, last.due_on or date.max, last.fan_id))


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


def lines_of(rows: Sequence[tuple[str, DueState]], days: LocalDays) -> list[DueLine]:
    """Lines of rows already chosen, with what every line needs read at once."""
    states = [state for _, state in rows]
    answers = {state.fan_id: read_answer(state.dates) for state in states}
    named = {state.fan_id: (state.due_rule, state.overdue_rule) for state in states}
    seen = evidence_of(
        (fan_id, told)
        for fan_id, (dates, _) in answers.items()
        for told in dates
        if told.rule in named[fan_id]
    )
    beyond = beyond_bought(states)
    return [
        DueLine(
            state=state,
            today=days.of(state.site.time_zone),
            section=section,
            dates=answers[state.fan_id][0],
            untold=answers[state.fan_id][1],
            seen=seen.get(state.fan_id, {}),
            beyond=beyond.get(state.fan_id),
        )
        for section, state in rows
    ]


def section_of(state: DueState, days: LocalDays) -> str:
    """Where a list puts a row with a due day."""
    today = days.of(state.site.time_zone)
    if state.overdue_after and state.overdue_after < today:
        return "overdue"
    soon = state.due_on and state.due_on <= today + timedelta(days=WEEK_DAYS)
    return "week" if soon else "later"


def _rows(
    states: QuerySet[DueState],
    sections: Sequence[str],
    days: LocalDays,
    after: PageKey | None,
    most: int,
) -> Iterator[tuple[str, DueState]]:
    """Rows with their section; each section asks the database only if the page is not full yet."""
    if after is not None:
        sections = sections[sections.index(after.section) :] if after.section in sections else ()
    for section in sections:
        rows = states.filter(_in_section(section, days)).order_by("due_on", "fan_id")
        if after is not None and section == after.section:
            beyond = Q(due_on__gt=after.due_on) | Q(fan__gt=after.fan_id)
            rows = rows.filter(beyond, due_on__gte=after.due_on)
        yield from ((section, state) for state in rows[:most])


def _in_section(section: str, days: LocalDays) -> Q:
    week = timedelta(days=WEEK_DAYS)
    if section == "overdue":
        return overdue(days)
    if section == "week":
        return days.matching(lambda today: Q(due_on__lte=today + week, overdue_after__gte=today))
    return days.matching(lambda today: Q(due_on__gt=today + week))
