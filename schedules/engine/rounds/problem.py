"""What the planner is told: sites, fans due, technicians, a week, ways; plain values, checked.

Days are ordinals.  Minutes count from midnight of the local day; past 1440 they lie in the night
after.  Money is in the company's own currency.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from math import isfinite

from schedules.engine.errors import ProblemError
from schedules.engine.rounds.hours import ALWAYS, DAY_MINUTES, Week, check_week
from schedules.engine.rounds.parameters import RoundsParams
from schedules.engine.rounds.travel import Travel

BLOCKERS = ("lift", "crane", "permit", "second_person", "parts", "owners_yes")


@dataclass(frozen=True, slots=True)
class Blocker:
    """What must be there before anybody goes: one of ``BLOCKERS``; from ``until_day`` it is."""

    kind: str
    until_day: int | None = None

    def __post_init__(self) -> None:
        if self.kind not in BLOCKERS:
            raise ProblemError(
                f"blocker {self.kind!r} is unknown; use one of {', '.join(BLOCKERS)}"
            )


@dataclass(frozen=True, slots=True)
class Site:
    """A roof: where it is, how long it takes to get up there, when.

    ``access_minutes`` are spent once for each time somebody comes (sign in, hatch, ladder), within
    ``access_hours``.  ``stop_hours`` are those in which a fan may be stopped; None: whenever
    there is access.  ``skill`` is needed for every fan on it.
    """

    key: int
    node: int
    access_minutes: int = 0
    access_hours: Week = ALWAYS
    stop_hours: Week | None = None
    closed_days: frozenset[int] = frozenset()
    skill: str = ""
    blockers: tuple[Blocker, ...] = ()

    def __post_init__(self) -> None:
        _check_least(f"site {self.key}", 0, access_minutes=self.access_minutes, node=self.node)
        for name in ("access_hours", "stop_hours"):
            check_week(f"site {self.key}, {name}", getattr(self, name))


@dataclass(frozen=True, slots=True)
class DueFan:
    """A fan that is due in the week, or soon after: what a visit to it takes and is worth.

    ``prize`` is what waiting for the next plan is expected to cost [money].  ``stopped``
    where the work wants the fan standing.  ``at_stop`` where it must not
    run until somebody came.  ``interval_days`` is the usual time between two visits.
    ``next_chance_day`` is the first day after this plan on which somebody could come; by default
    the first of the next plan, later where who may do it works seldom or the site is closed.
    """

    key: int
    site: int
    minutes: int
    due_day: int
    overdue_after_day: int
    prize: float
    skill: str = ""
    at_stop: bool = False
    stopped: bool = False
    not_before_day: int = 0
    interval_days: float = 60.0
    next_chance_day: int | None = None
    blockers: tuple[Blocker, ...] = ()

    def __post_init__(self) -> None:
        name = f"fan {self.key}"
        _check_least(name, 0, minutes=self.minutes, prize=self.prize)
        _check_least(name, 1, interval_days=self.interval_days)
        if self.overdue_after_day < self.due_day:
            raise ProblemError(
                f"{name} is overdue after day {self.overdue_after_day} and due on day "
                f"{self.due_day}; it cannot be overdue before it is due"
            )
        if self.next_chance_day is not None and self.next_chance_day < 1:
            raise ProblemError(
                f"{name} has next_chance_day {self.next_chance_day}; give an ordinal"
            )


@dataclass(frozen=True, slots=True)
class Shift:
    """When a technician works on one day.

    The round leaves the base at ``start_minute`` or later and is back by ``end_minute``;
    ``reserve_minutes`` of the shift, before or after the round, stay free for breakdowns and
    pauses.  Overtime is by how much the shift would have to be longer for both to hold, and none
    is above ``overtime_minutes``.
    """

    day: int
    start_minute: int
    end_minute: int
    overtime_minutes: int = 0
    reserve_minutes: int = 0

    def __post_init__(self) -> None:
        name = f"the shift of day {self.day}"
        if not 0 <= self.start_minute < self.end_minute <= 2 * DAY_MINUTES:
            raise ProblemError(
                f"{name} is from minute {self.start_minute} to {self.end_minute}; expected a start "
                "before the end, both within 0 and 2880"
            )
        _check_least(
            name, 0, overtime_minutes=self.overtime_minutes, reserve_minutes=self.reserve_minutes
        )
        if self.reserve_minutes > self.end_minute - self.start_minute:
            raise ProblemError(f"{name} keeps {self.reserve_minutes} min free, more than it has")

    @property
    def regular_minutes(self) -> int:
        """How long a round may last without overtime."""
        return self.end_minute - self.start_minute - self.reserve_minutes

    @property
    def longest_minutes(self) -> int:
        """How long a round may last at most."""
        return self.regular_minutes + self.overtime_minutes

    @property
    def latest_minute(self) -> int:
        """When it must be back."""
        return self.end_minute + self.overtime_minutes

    @property
    def reserved_until_minute(self) -> int:
        """A round that sets out now or later has all its reserve before it."""
        return self.start_minute + self.reserve_minutes

    def overtime(self, leave: int, back: int) -> int:
        """Minutes of overtime of a round between these two: by the clock, or by its length."""
        return max(0, back - self.end_minute, back - leave - self.regular_minutes)


@dataclass(frozen=True, slots=True)
class Technician:
    """Somebody who goes out: from where, where to, what they may do; a day without shift is off."""

    key: int
    start_node: int
    end_node: int
    shifts: tuple[Shift, ...]
    skills: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        days = [shift.day for shift in self.shifts]
        if len(set(days)) < len(days):
            raise ProblemError(
                f"technician {self.key} has two shifts on one day; give each day one"
            )


@dataclass(frozen=True, slots=True)
class CurrentStop:
    """A stop of the plan in force; a ``pinned`` one keeps its technician and day."""

    site: int
    fans: tuple[int, ...]
    pinned: bool = False


@dataclass(frozen=True, slots=True)
class CurrentRound:
    """A round of the plan in force, stops in order; a ``published`` one stays as it is."""

    technician: int
    day: int
    stops: tuple[CurrentStop, ...]
    published: bool = False


@dataclass(frozen=True, eq=False)
class Problem:
    """One week to plan.

    ``days`` are those on which somebody may go, ascending.  ``next_day`` is the first of the plan
    after this one (default: a week after the first): fans due before it are due now.  Required are
    those that would be overdue before their next chance.  Give ``iterations`` for the same plan
    each time, ``seconds`` for a bound on the whole answer, or both.
    """

    sites: tuple[Site, ...]
    fans: tuple[DueFan, ...]
    technicians: tuple[Technician, ...]
    days: tuple[int, ...]
    travel: Travel
    current: tuple[CurrentRound, ...] = ()
    next_day: int | None = None
    seed: int = 1
    iterations: int | None = None
    seconds: float | None = None
    params: RoundsParams = field(default_factory=RoundsParams)

    def __post_init__(self) -> None:
        self._check_numbers()
        sites = _keys("site", self.sites)
        _keys("fan", self.fans)
        fans = {fan.key: fan for fan in self.fans}
        technicians = _keys("technician", self.technicians)
        for fan in self.fans:
            _check_known(f"fan {fan.key} stands on site", fan.site, sites)
        self._check_nodes()
        taken: set[int] = set()
        for current in self.current:
            _check_known("a current round is of technician", current.technician, technicians)
            _check_known("a current round is on day", current.day, set(self.days))
            for stop in current.stops:
                _check_known("a current stop is at site", stop.site, sites)
                self._check_stop(stop, fans, taken)

    @cached_property
    def _sites(self) -> dict[int, Site]:
        return {site.key: site for site in self.sites}

    def site(self, key: int) -> Site:
        """The site of this key."""
        return self._sites[key]

    @cached_property
    def _nights(self) -> dict[int, int]:
        nights: dict[int, int] = {}
        for technician in self.technicians:
            for shift in technician.shifts:
                nights[shift.day] = max(nights.get(shift.day, DAY_MINUTES), shift.latest_minute)
        return nights

    def night_of(self, day: int) -> int:
        """When the last shift of a day is over; its midnight, if none goes beyond."""
        return self._nights.get(day, DAY_MINUTES)

    @property
    def first_day_after(self) -> int:
        """First day of the plan after this one."""
        return self.days[0] + 7 if self.next_day is None else self.next_day

    def _check_stop(self, stop: CurrentStop, fans: dict[int, DueFan], taken: set[int]) -> None:
        if not stop.fans:
            raise ProblemError(f"a current stop at site {stop.site} is for no fan; leave it out")
        for key in stop.fans:
            _check_known("a current stop is for fan", key, fans)
            if key in taken:
                raise ProblemError(f"fan {key} is in two current stops; keep one")
            if fans[key].site != stop.site:
                raise ProblemError(
                    f"a current stop at site {stop.site} is for fan {key}, which stands on site "
                    f"{fans[key].site}; give each stop the fans of its own site"
                )
            taken.add(key)

    def _check_numbers(self) -> None:
        if not self.days or list(self.days) != sorted(set(self.days)):
            raise ProblemError(f"days are {self.days}; expected at least one, ascending, each once")
        if self.first_day_after <= self.days[-1]:
            raise ProblemError(
                f"next_day is {self.next_day}; expected a day after the last, {self.days[-1]}"
            )
        if self.iterations is None and self.seconds is None:
            raise ProblemError("neither iterations nor seconds are given; say how long to search")
        if self.iterations is not None and self.iterations < 0:
            raise ProblemError(f"iterations is {self.iterations}; expected 0 or more")
        if self.seconds is not None and not (isfinite(self.seconds) and self.seconds >= 0):
            raise ProblemError(f"seconds is {self.seconds}; expected 0 or more")

    def _check_nodes(self) -> None:
        nodes = [(f"site {site.key}", site.node) for site in self.sites]
        for technician in self.technicians:
            nodes += [
                (f"technician {technician.key}", node)
                for node in (technician.start_node, technician.end_node)
            ]
        for name, node in nodes:
            if not 0 <= node < len(self.travel):
                raise ProblemError(
                    f"{name} is at node {node}; travel has nodes 0 to {len(self.travel) - 1}"
                )


def _keys(kind: str, entries: Iterable[Site | DueFan | Technician]) -> set[int]:
    keys = [entry.key for entry in entries]
    seen = set(keys)
    if len(seen) < len(keys):
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ProblemError(f"{kind} {twice} is there twice; give each key once")
    return seen


def _check_known(what: str, key: int, known: Container[int]) -> None:
    if key not in known:
        raise ProblemError(f"{what} {key}, which is not in the problem; add it or leave that out")


def _check_least(name: str, least: float, **values: float) -> None:
    for which, value in values.items():
        if not (isfinite(value) and value >= least):
            raise ProblemError(f"{name} has {which} {value}; expected {least:g} or more")
