"""Promises counted: by week, technician, site or owner."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from schedules.done.judging import COUNTED, NOT_DONE, Judged, Outcome, judge_all
from schedules.done.planned import DAY, WEEK, read_planned
from schedules.done.seen import Narrowed, Sight, read_seen
from schedules.due.local_days import days_at

Key = Any
BY = ("week", "technician", "site", "owner")


@dataclass
class Figures:
    """Counts of fans' work; ``reasons`` count what was excused, ``unplanned`` fans seen beside."""

    outcomes: Counter[Outcome] = field(default_factory=Counter)
    reasons: Counter[str] = field(default_factory=Counter)
    on_time: int = 0
    was_overdue: int = 0
    unplanned: int = 0

    def count(self, each: Judged) -> None:
        """Add one fan's work to the counts."""
        self.outcomes[each.outcome] += 1
        if each.outcome in COUNTED:
            self.on_time += each.on_time
            self.was_overdue += each.was_overdue
        if each.word and each.outcome in NOT_DONE:
            self.reasons[each.word.reason] += 1

    @property
    def planned(self) -> int:
        """Work whose day is over and that nothing made needless."""
        return sum(self.outcomes[each] for each in COUNTED)

    @property
    def done(self) -> int:
        return self.outcomes[Outcome.KEPT] + self.outcomes[Outcome.LATER]

    @property
    def not_done(self) -> int:
        return self.planned - self.done

    @property
    def done_percent(self) -> int | None:
        """Done of planned; None where nothing was."""
        return round(100 * self.done / self.planned) if self.planned else None


@dataclass(frozen=True)
class Done:
    """What weeks promised and came to, and the fans seen in them without a promise."""

    judged: Sequence[Judged]
    unplanned: Sequence[Sight]

    @cached_property
    def total(self) -> Figures:
        return self.by(lambda _: None, lambda _: None).get(None, Figures())

    def by_name(self, name: str) -> Mapping[Key, Figures]:
        """Figures by Monday, or by the ids of technicians, sites or owners."""
        return self.by(*KEYS[name])

    def by(
        self, of_planned: Callable[[Judged], Key], of_sight: Callable[[Sight], Key]
    ) -> Mapping[Key, Figures]:
        """Figures by what is asked of each."""
        found: dict[Key, Figures] = defaultdict(Figures)
        for each in self.judged:
            found[of_planned(each)].count(each)
        for sight in self.unplanned:
            found[of_sight(sight)].unplanned += 1
        return found


KEYS: Mapping[str, tuple[Callable[[Judged], Key], Callable[[Sight], Key]]] = {
    "week": (lambda each: each.planned.monday, lambda sight: monday_of(sight.on)),
    "technician": (lambda each: each.planned.technician, lambda sight: sight.by),
    "site": (lambda each: each.planned.site, lambda sight: sight.site),
    "owner": (lambda each: each.planned.owner, lambda sight: sight.owner),
}


def monday_of(on: date) -> date:
    """The first day of its ISO week."""
    return on - DAY * on.weekday()


def read_done(
    first: date,
    last: date,
    now: datetime,
    narrowed: Narrowed | None = None,
    technician: int | None = None,
) -> Done:
    """Promises of the weeks that begin between two Mondays, as they stand now; 13 queries at most.

    A technician's are those that were theirs when their day came.
    """
    narrowed = narrowed or Narrowed()
    planned = read_planned(first, last, narrowed.of("fan", "stop__site"))
    since_on = min((each.since_on for each in planned), default=first)
    until = max((each.until for each in planned), default=first)
    seen = read_seen(min(first, since_on), max(last + WEEK - DAY, until), narrowed)
    today = days_at(now, {each.zone for each in planned}).by_zone
    promised = {(each.monday, each.fan) for each in planned}
    unplanned = {
        (monday, sight.fan): sight
        for sight in seen.sights
        if first <= (monday := monday_of(sight.on)) <= last and (monday, sight.fan) not in promised
    }
    if technician is not None:
        planned = [each for each in planned if each.technician == technician]
    mine = [each for each in unplanned.values() if technician in (None, each.by)]
    return Done(judge_all(planned, seen, today), mine)


MOST_WEEKS = 53
"""So many are told of at once: a year's."""


def weeks_until(today: date, weeks: int) -> tuple[date, date]:
    """The Mondays of the first and the last of so many weeks up to the one that holds a day."""
    last = monday_of(today)
    return last - timedelta(weeks=weeks - 1), last
