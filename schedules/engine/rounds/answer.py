"""What the planner tells: rounds with their times, who is left out and why, what would cure it.

Codes and numbers; ``schedules.wording`` says them in sentences.  Days are ordinals, minutes count
from midnight of the round's day, money is as in the problem.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Why(StrEnum):
    """Why a stop is in this week; the first that holds."""

    PUBLISHED = "published"
    PINNED = "pinned"
    OVERDUE = "overdue"
    LAST_CHANCE = "last_chance"
    """It would be overdue before the next plan."""
    WORTH_IT = "worth_it"
    """Due, and waiting costs more than coming."""


class Broken(StrEnum):
    """What a stop or round breaks that a person, not the planner, laid down."""

    HOURS = "hours"
    SKILL = "skill"
    BLOCKED = "blocked"
    TOO_EARLY = "too_early"
    OFF = "off"
    """The technician has no shift that day."""
    SHIFT = "shift"
    """The round is back too late or lasts too long."""


class Reason(StrEnum):
    """Why a due fan is left out; found by trying, in this order."""

    BLOCKED = "blocked"
    NOT_YET = "not_yet"
    """It may be visited only after the days planned."""
    NOBODY_SKILLED = "nobody_skilled"
    SKILLED_AWAY = "skilled_away"
    """Those who have the skill do not work on the days left for it."""
    NO_HOURS = "no_hours"
    """No hours on the days planned are long enough for it."""
    TOO_FAR = "too_far"
    """Going there and back and the work take more than any shift has."""
    HOURS_MISS_SHIFTS = "hours_miss_shifts"
    """Hours and shifts do not meet, though each would do by itself."""
    COSTS_MORE = "costs_more"
    """Coming costs more than waiting."""
    ROOM = "room"
    """It would go and pay; only in rounds that a person laid or published."""
    FULL = "full"
    """It would go and pay, but the time is taken by stops that count more."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One coming to one site.

    The technician gets there at ``arrive``, gains access from ``start`` on, and is done at
    ``leave``.  ``fans`` are those due, ``pulled_forward`` those due only after the week; ``driver``
    is the fan that made it necessary.  ``prize`` is the waiting cost that the due ones no longer
    have [money], ``detour_cost`` what the round saves if nobody comes to the
    site then [money].
    """

    site: int
    fans: tuple[int, ...]
    pulled_forward: tuple[int, ...]
    arrive: int
    start: int
    leave: int
    travel_minutes: int
    travel_m: float
    why: Why
    driver: int
    prize: float
    detour_cost: float
    pinned: bool = False
    broken: tuple[Broken, ...] = ()


@dataclass(frozen=True, slots=True)
class Round:
    """One technician's day: out of the base at ``leave``, back at ``back``."""

    technician: int
    day: int
    stops: tuple[Stop, ...]
    leave: int
    back: int
    travel_minutes: int
    travel_m: float
    overtime_minutes: int
    """Past the shift's end, or taken from its reserve."""
    free_minutes: int
    """What is left of the shift beside reserve, before the round or after; never below 0."""
    cost: float
    """Travel, access, overtime and the day itself [money]."""
    published: bool = False
    broken: tuple[Broken, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Due fans of a site that nobody visits, and why.

    ``details`` holds what the reason was found by: blockers, skills, or numbers by name.
    """

    site: int
    fans: tuple[int, ...]
    reason: Reason
    required: bool
    prize: float
    names: tuple[str, ...] = ()
    """Blockers or skills."""
    cost: float | None = None
    """What coming would cost at least [money]."""
    needed_minutes: int | None = None
    """What it takes: access, work, and for a whole trip the way."""
    free_minutes: int | None = None
    """The most that any round, or any shift, has for it."""
    technician: int | None = None
    day: int | None = None
    """Where there is room."""


@dataclass(frozen=True, slots=True)
class ExtraDay:
    """One more technician-day, like one there is, and the sites that it would serve."""

    like_technician: int
    like_day: int
    sites: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ExtraTime:
    """Overtime beyond what is allowed now, and the sites that it would serve."""

    technician: int
    day: int
    minutes: int
    sites: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Overload:
    """Required sites for which the time is not enough, and what would cure it.

    ``days`` together serve the sites except ``days_leave``, ``overtime`` except
    ``overtime_leaves``; waiting for the next plan is expected to cost ``delay_cost`` [money].
    ``late`` are visited this week, but only after the last day of one of their fans.
    """

    sites: tuple[int, ...]
    late: tuple[int, ...]
    minutes: int
    """Access and work that found no place."""
    days: tuple[ExtraDay, ...]
    days_leave: tuple[int, ...]
    overtime: tuple[ExtraTime, ...]
    overtime_leaves: tuple[int, ...]
    delay_cost: float


@dataclass(frozen=True, slots=True)
class Plan:
    """A week's rounds by day and technician, with what they cost and leave undone.

    ``cost`` is what rounds cost and waiting of those left out [money].  ``objective`` also weighs
    the required ones left out and is what plans of one problem are compared by: it is never above
    ``objective_empty`` and ``objective_current`` (None without a current plan).
    """

    rounds: tuple[Round, ...]
    left_out: tuple[LeftOut, ...]
    overload: Overload | None
    prize_collected: float
    prize_left: float
    travel_minutes: int
    travel_m: float
    cost: float
    objective: float
    objective_empty: float
    objective_current: float | None
