"""Rounds laid by the planner or a person, with the times, costs and faults the engine tells."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid4

from schedules.engine import rounds as engine
from schedules.engine.rounds import price_rounds
from schedules.rounds.gathering import Gathered
from schedules.rounds.layout import LaidRound, LaidStop, Layout, Workday
from schedules.rounds.work import Wanted

ORDER = tuple(engine.Why)


@dataclass(frozen=True)
class TimedStop:
    """A stop with what the engine tells of it; several of its stops where hours part the work."""

    laid: LaidStop
    told: Sequence[engine.Stop]
    pulled_forward: frozenset[Wanted]
    driver: Wanted | UUID

    @property
    def why(self) -> engine.Why:
        """What puts it into this week: the first that holds of several."""
        return min((each.why for each in self.told), key=ORDER.index)

    @property
    def broken(self) -> list[str]:
        return sorted({str(each) for told in self.told for each in told.broken})


@dataclass(frozen=True)
class TimedRound:
    """A round with its sums."""

    laid: LaidRound
    told: engine.Round
    stops: Sequence[TimedStop]


def price(gathered: Gathered, layout: Layout) -> list[TimedRound]:
    """The rounds of the days still ahead as they would go in this order."""
    gathered = replace(gathered, layout=layout)
    current = gathered.current(layout, gathered.clock.days)
    problem = gathered.problem((), iterations=0)
    rounds = {workday_of(each): each for each in price_rounds(problem, current)}
    return [
        timed(gathered, laid, rounds[laid.technician, laid.day.toordinal()])
        for laid in layout
        if (laid.technician, laid.day.toordinal()) in rounds
    ]


def timed(gathered: Gathered, laid: LaidRound, told: engine.Round) -> TimedRound:
    """A round as laid together with the engine's."""
    by_stop: dict[UUID, list[engine.Stop]] = defaultdict(list)
    owners = {wanted: stop.key for stop in laid.stops for wanted in stop.works}
    for each in told.stops:
        names = [gathered.names[key] for key in (*each.fans, *each.pulled_forward)]
        keys = (name if isinstance(name, UUID) else owners[name] for name in names)
        for key in dict.fromkeys(keys):
            by_stop[key].append(each)
    stops = [
        _timed_stop(gathered, stop, by_stop[stop.key]) for stop in laid.stops if stop.key in by_stop
    ]
    return TimedRound(laid, told, stops)


def _timed_stop(gathered: Gathered, stop: LaidStop, told: Sequence[engine.Stop]) -> TimedStop:
    pulled = (gathered.names[key] for each in told for key in each.pulled_forward)
    first = min(told, key=lambda each: ORDER.index(each.why))
    return TimedStop(
        stop,
        told,
        frozenset(name for name in pulled if not isinstance(name, UUID)),
        gathered.names[first.driver],
    )


def workday_of(each: engine.Round) -> tuple[int, int]:
    """Technician and day of an answer's round."""
    return each.technician, each.day


def laid_by(gathered: Gathered, plan: engine.Plan) -> Layout:
    """The planner's rounds as a layout: stops keep their keys, and what a person fixed stays."""
    pool = _Pool(gathered)
    rounds = []
    for told in plan.rounds:
        workday = (told.technician, date.fromordinal(told.day))
        stops = [_laid_stop(gathered, each, workday, pool) for each in told.stops]
        known = gathered.layout.rounds.get(workday)
        published = known is not None and known.published
        rounds.append(LaidRound(*workday, tuple(stops), published))
    return _with_fixed(gathered, Layout.of(rounds))


def planned(gathered: Gathered, plan: engine.Plan) -> list[TimedRound]:
    """The planner's rounds with what a person fixed, timed as they will be after any change."""
    return price(gathered, laid_by(gathered, plan))


class _Pool:
    """Stops of the former layout that a new one may go on with."""

    def __init__(self, gathered: Gathered) -> None:
        stops = list(gathered.layout.stops)
        self.stops = {stop.key: (each.workday, stop) for each, stop in stops}
        self.fixed = {stop.key for _, stop in stops if gathered.is_fixed(stop)}

    def take(self, workday: Workday, site: int, names: Iterable[Wanted | UUID]) -> LaidStop | None:
        """The one most like it: fixed there, else at that site, on that day if it can be."""
        wanted = set(names)
        found = [
            (stop.key in wanted, bool(wanted.intersection(stop.works)), day == workday, stop)
            for day, stop in self.stops.values()
            if stop.site == site and (day == workday or stop.key not in self.fixed)
        ]
        if not found:
            return None
        stop = max(found, key=lambda each: (*each[:3], str(each[3].key)))[3]
        del self.stops[stop.key]
        return stop


def _laid_stop(gathered: Gathered, told: engine.Stop, workday: Workday, pool: _Pool) -> LaidStop:
    names = [gathered.names[key] for key in (*told.fans, *told.pulled_forward)]
    works = tuple(name for name in names if not isinstance(name, UUID))
    known = pool.take(workday, told.site, names)
    if known is None:
        return LaidStop(uuid4(), told.site, works)
    return replace(known, works=works)


def _with_fixed(gathered: Gathered, layout: Layout) -> Layout:
    """What a person fixed and no search could fit stays all the same, and is told as it breaks."""
    planned = {stop.key for _, stop in layout.stops}
    for each, stop in gathered.layout.stops:
        if gathered.is_fixed(stop) and stop.key not in planned and each.day in gathered.clock.days:
            left = tuple(wanted for wanted in stop.works if wanted not in layout.wanted)
            at = gathered.layout.stops_on(each.workday).index(stop)
            layout = layout.put(replace(stop, works=left), each.workday, at)
    return layout


def best_place(
    gathered: Gathered, layout: Layout, stop: LaidStop, workday: Workday
) -> tuple[Layout, int]:
    """Where in a workday's order a stop breaks least, and of those costs least."""
    places = range(len(layout.stops_on(workday)) + 1)
    laid = [layout.put(stop, workday, at) for at in places]
    problem = replace(gathered, layout=laid[0]).problem((), iterations=0)
    told = [price_alone(gathered, problem, [each.rounds[workday]]) for each in laid]
    best = min(places, key=told.__getitem__)
    return laid[best], best


def price_alone(
    gathered: Gathered, problem: engine.Problem, rounds: Sequence[LaidRound]
) -> tuple[int, float]:
    """How much some rounds break and what they cost, by a problem already made."""
    layout = Layout.of(rounds)
    told = price_rounds(problem, gathered.current(layout, gathered.clock.days))
    broken = sum(len(each.broken) + sum(len(stop.broken) for stop in each.stops) for each in told)
    return broken, sum(each.cost for each in told)
