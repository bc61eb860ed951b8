"""What a list's line says of its fan: every rule's date, what stands behind it and beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from schedules.due.answers import read_answer
from schedules.due.beside import (
    not_reached_of,
    told_standing,
    waiting_for_first_check,
    who_comes_next,
)
from schedules.due.bought import Beyond, beyond_bought
from schedules.due.evidence import Evidence, evidence_of
from schedules.due.local_days import LocalDays
from schedules.due.still import FoundStill, found_still
from schedules.due.stops import Stop, stops_of
from schedules.engine.codes import ACT
from schedules.engine.record import RuleDate
from schedules.models import Booking, DueState
from visits.models import NotReached, RunningTold

WEEK_DAYS = 7


@dataclass(frozen=True)
class DueLine:
    """One fan of a list with all that its line says; ``today`` is its site's.

    ``dates`` are every rule's, earliest first; ``seen`` is what stands behind those it names, by
    rule.  ``stop`` is the first stop that stands, ``not_reached`` what the last visit
    could not get at; ``awaits_first`` tells a fan that nobody has checked since it came in;
    ``booked`` is who comes to its site next, ``kitchen`` what its kitchen said last, where that
    was not "running" and stands; ``still`` is read for owners alone.
    """

    state: DueState
    today: date
    section: str
    dates: Sequence[RuleDate]
    untold: Sequence[str]
    seen: Mapping[int, Evidence]
    beyond: Beyond | None
    stop: Stop | None
    not_reached: Sequence[NotReached]
    awaits_first: bool
    booked: Booking | None
    kitchen: RunningTold | None
    still: FoundStill | None = None

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
    def hidden_stop(self) -> Stop | None:
        """A stop that the date named first says nothing of."""
        return self.stop if self.stop and self.stop.told != self.driving else None

    @property
    def worst(self) -> RuleDate | None:
        """The date that rests on the worst verdict open, act at least, where the row tells it."""
        return next((told for told in self.dates if _rests_on_worst(told, self.state)), None)

    @property
    def not_running(self) -> RunningTold | None:
        """The kitchen's word that it stands, where nobody has looked or said otherwise since."""
        stands = self.kitchen and self.kitchen.answer == RunningTold.Answer.NOT_RUNNING
        return self.kitchen if stands else None

    @property
    def must_stand(self) -> bool:
        """At a stop that nobody has repaired, not even for the time being."""
        return self.stop is not None and not self.stop.is_patched

    @property
    def may_run(self) -> bool:
        """Neither at a stop nor found standing, by us or by its kitchen's word."""
        return not self.must_stand and self.not_running is None and self.still is None

    @property
    def is_owed(self) -> bool:
        """Whether the visit is ours to make: bought, or agreed to beyond what was bought."""
        return self.beyond is None or self.beyond.is_agreed

    @property
    def is_refused(self) -> bool:
        """Whether the owner said no to the visit; not of a fan at a stop, which is told anyway."""
        return self.beyond is not None and self.beyond.is_refused and self.stop is None

    @property
    def days_over(self) -> int:
        """Days past ``overdue_after``; 0 where it is not overdue."""
        after = self.state.overdue_after
        return max(0, (self.today - after).days) if after else 0

    @property
    def days_left(self) -> int | None:
        """Days until due, below 0 once that day is past."""
        return (self.state.due_on - self.today).days if self.state.due_on else None


def section_of(state: DueState, days: LocalDays) -> str:
    """Where a list puts a row with a due day."""
    today = days.of(state.site.time_zone)
    if state.overdue_after and state.overdue_after < today:
        return "overdue"
    soon = state.due_on and state.due_on <= today + timedelta(days=WEEK_DAYS)
    return "week" if soon else "later"


def lines_of(
    rows: Sequence[tuple[str, DueState]],
    days: LocalDays,
    *,
    whole: bool = False,
    for_owner: bool = False,
) -> list[DueLine]:
    """Lines of rows already chosen, with what every line needs read at once.

    ``whole`` lines tell what stands behind every date, the runners-up's too.  Those ``for_owner``
    tell which fans were found standing still, whatever reading their dates rest on.
    """
    states = [state for _, state in rows]
    answers = {state.fan_id: read_answer(state.dates) for state in states}
    dates = {fan_id: told for fan_id, (told, _) in answers.items()}
    seen = evidence_of(_named(states, dates, whole=whole))
    stops = stops_of(states, dates, seen)
    beyond = beyond_bought(states, days)
    missed = not_reached_of(list(answers))
    waiting = waiting_for_first_check(states)
    booked = who_comes_next(states, days)
    told = told_standing(answers)
    still = found_still(states) if for_owner else {}
    return [
        DueLine(
            state=state,
            today=days.of(state.site.time_zone),
            section=section,
            dates=answers[state.fan_id][0],
            untold=answers[state.fan_id][1],
            seen=seen.get(state.fan_id, {}),
            beyond=beyond.get(state.fan_id),
            stop=stops.get(state.fan_id),
            not_reached=missed.get(state.fan_id, ()),
            awaits_first=state.fan_id in waiting,
            booked=booked.get(state.fan_id),
            kitchen=told.get(state.fan_id),
            still=still.get(state.fan_id),
        )
        for section, state in rows
    ]


def _named(
    states: Sequence[DueState], dates: Mapping[int, Sequence[RuleDate]], *, whole: bool
) -> Iterator[tuple[int, RuleDate]]:
    """The dates that lines name, with their fans: what makes each due, overdue, or worst."""
    for state in states:
        for told in dates[state.fan_id]:
            named = told.rule in (state.due_rule, state.overdue_rule)
            if whole or named or _rests_on_worst(told, state):
                yield state.fan_id, told


def _rests_on_worst(told: RuleDate, state: DueState) -> bool:
    return told.args.get("verdict") == state.worst_verdict >= ACT
