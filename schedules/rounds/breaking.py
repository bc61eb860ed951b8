"""What a change of the draft costs, and what it breaks that held before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from schedules.rounds.gathering import Gathered
from schedules.rounds.left import is_required
from schedules.rounds.timed import TimedRound, TimedStop
from schedules.rounds.work import Work
from schedules.rounds.writing import figures_of

RESERVE, REQUIRED_LEFT, SKILL = "reserve", "required_left", "skill"


@dataclass(frozen=True, slots=True)
class Fault:
    """Something broken, by code: of a stop, of a whole round, or of a site that is left out.

    ``lacking`` are qualifications that whoever goes has not.
    """

    code: str
    day: date | None
    technician: int | None
    site: int | None
    lacking: tuple[str, ...] = ()


@dataclass(frozen=True)
class Price:
    """How the plan's sums move [money, min], and the faults that come and go with a change."""

    cost: float
    travel_minutes: int
    overtime_minutes: int
    breaks: tuple[Fault, ...]
    mends: tuple[Fault, ...]


State = tuple[Sequence[TimedRound], Sequence[Work]]
"""Rounds, and due work that is in none."""


def price_of(gathered: Gathered, before: State, after: State) -> Price:
    """What it takes to go from one state of the draft to another."""
    was, becomes = figures_of(gathered, *before), figures_of(gathered, *after)
    old, new = set(_faults(gathered, *before)), set(_faults(gathered, *after))
    return Price(
        cost=round(becomes["cost"] - was["cost"], 2),
        travel_minutes=int(becomes["travel_minutes"] - was["travel_minutes"]),
        overtime_minutes=int(becomes["overtime_minutes"] - was["overtime_minutes"]),
        breaks=_sorted(new - old),
        mends=_sorted(old - new),
    )


def _faults(
    gathered: Gathered, rounds: Sequence[TimedRound], undone: Sequence[Work]
) -> Iterator[Fault]:
    for each in rounds:
        where = (each.laid.day, each.laid.technician)
        for code in each.told.broken:
            yield Fault(str(code), *where, None)
        if each.told.overtime_minutes:
            yield Fault(RESERVE, *where, None)
        for stop in each.stops:
            for broken in stop.broken:
                lacking = _lacking(gathered, each, stop) if broken == SKILL else ()
                yield Fault(broken, *where, stop.laid.site, lacking)
    for work in undone:
        if is_required(gathered, work):
            yield Fault(REQUIRED_LEFT, None, None, work.site)


def _lacking(gathered: Gathered, each: TimedRound, stop: TimedStop) -> tuple[str, ...]:
    needed = gathered.skills_needed(stop.laid)
    return tuple(sorted(needed - gathered.skills_of(each.laid.technician)))


def _sorted(faults: set[Fault]) -> tuple[Fault, ...]:
    return tuple(
        sorted(faults, key=lambda f: (f.code, f.day or date.min, f.technician or 0, f.site or 0))
    )
