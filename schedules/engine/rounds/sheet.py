"""A round as it is told: when each stop begins and ends, what it costs and what it breaks.

The planner's own rounds and those a person has laid go through here alike; only the latter can
break anything, and are then told as they would go all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from schedules.engine.rounds.answer import Broken, Round, Stop, Why
from schedules.engine.rounds.hours import Spans
from schedules.engine.rounds.prices import day_cents, overtime_cents, way_cents
from schedules.engine.rounds.problem import DueFan, Problem, Shift, Site, Technician
from schedules.engine.rounds.tasks import is_due, is_last_chance


@dataclass(frozen=True, slots=True)
class Part:
    """Work at one site without leaving it; ``spans`` are those in which somebody may be there."""

    site: Site
    fans: tuple[DueFan, ...]
    spans: Spans
    pinned: bool = False
    broken: tuple[Broken, ...] = ()

    @property
    def minutes(self) -> int:
        """Work on all its fans [min], without the way onto the roof."""
        return sum(fan.minutes for fan in self.fans)


@dataclass(frozen=True, slots=True)
class Walk:
    """The clock of some parts: when the base is left, work begins and ends, the base is reached."""

    leave: int
    begins: tuple[int, ...]
    ends: tuple[int, ...]
    back: int
    late: frozenset[int]
    """Parts for which no span is left."""


@dataclass(frozen=True, eq=False)
class _Work:
    """Parts in order for one technician's day; a missing shift has no bounds."""

    problem: Problem
    technician: Technician
    shift: Shift | None
    parts: tuple[Part, ...]

    def stays(self, at: int) -> bool:
        """Whether a part is done by somebody who is up there already."""
        parts = self.parts
        return 0 < at < len(parts) and parts[at - 1].site.key == parts[at].site.key

    def coming(self, at: int) -> range:
        """All parts done in one coming to the site of one of them."""
        first, after = at, at + 1
        while self.stays(first):
            first -= 1
        while self.stays(after):
            after += 1
        return range(first, after)

    def access(self, at: int) -> int:
        """Minutes to get up there before a part; none to go home."""
        up = at == len(self.parts) or self.stays(at)
        return 0 if up else self.parts[at].site.access_minutes

    @cached_property
    def ways(self) -> list[tuple[int, float]]:
        """Minutes and metres to each part and back to the base."""
        home = self.technician
        nodes = [home.start_node, *(part.site.node for part in self.parts), home.end_node]
        travel = self.problem.travel
        return [
            (0, 0.0)
            if self.stays(at)
            else (int(travel.roads[here, there]), float(travel.metres[here, there]))
            for at, (here, there) in enumerate(pairwise(nodes))
        ]

    def without(self, group: Sequence[int]) -> _Work:
        """The same day without some parts."""
        kept = tuple(part for at, part in enumerate(self.parts) if at not in group)
        return replace(self, parts=kept)

    @property
    def sets_out(self) -> int:
        """When the shift begins; without one, as early as theirs or others' on any other day."""
        if self.shift is not None:
            return self.shift.start_minute
        others = (shift for each in self.problem.technicians for shift in each.shifts)
        starts = [shift.start_minute for shift in self.technician.shifts or others]
        return min(starts, default=self.problem.params.off_start_minute)

    @cached_property
    def walk(self) -> Walk:
        """As of the shift; without one earlier than usual only where a roof's hours ask for it."""
        usual = self._walk(self.sets_out)
        if self.shift is not None or not usual.late:
            return usual
        early = self._walk(0)
        return early if len(early.late) < len(usual.late) else usual

    def _walk(self, clock: int) -> Walk:
        """Forwards each part begins as early as it may, backwards as late: waiting is at home."""
        latest: list[int | None] = []
        for at, part in enumerate(self.parts):
            begin, last = _first_fit(clock + self.ways[at][0] + self.access(at), part)
            clock = begin + part.minutes
            latest.append(last)
        limit, begins = clock, []
        for at in reversed(range(len(self.parts))):
            last = latest[at]
            begin = limit - self.parts[at].minutes
            begins.append(begin if last is None else min(begin, last))
            limit = begins[-1] - self.access(at) - self.ways[at][0]
        begins.reverse()
        ends = [begin + part.minutes for begin, part in zip(begins, self.parts, strict=True)]
        late = frozenset(at for at, last in enumerate(latest) if last is None)
        return Walk(limit, tuple(begins), tuple(ends), clock + self.ways[-1][0], late)

    @property
    def overtime(self) -> int:
        """Minutes past the shift's end, or taken from its reserve; without a shift all."""
        leave, back = self.walk.leave, self.walk.back
        return back - leave if self.shift is None else self.shift.overtime(leave, back)

    @cached_property
    def cents(self) -> int:
        """Ways, access, overtime and the day itself."""
        if not self.parts:
            return 0
        params = self.problem.params
        minutes = [way + self.access(at) for at, (way, _) in enumerate(self.ways)]
        metres = [metres for _, metres in self.ways]
        total = day_cents(params) + int(way_cents(params, minutes, metres).sum())
        return total + overtime_cents(params, self.overtime)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Writes the rounds of one problem."""

    problem: Problem

    def round_of(
        self, technician: Technician, day: int, parts: Sequence[Part], *, published: bool = False
    ) -> Round:
        """One technician's day as it would go."""
        shift = next((each for each in technician.shifts if each.day == day), None)
        work = _Work(self.problem, technician, shift, tuple(parts))
        walk, overtime = work.walk, work.overtime
        lasts = walk.back - walk.leave
        too_long = shift is not None and overtime > shift.overtime_minutes
        broken = [Broken.OFF] if shift is None else [Broken.SHIFT] if too_long else []
        return Round(
            technician.key,
            day,
            tuple(self._stop(work, group, published=published) for group in _groups(work)),
            walk.leave,
            walk.back,
            travel_minutes=sum(minutes for minutes, _ in work.ways),
            travel_m=sum(metres for _, metres in work.ways),
            overtime_minutes=overtime,
            free_minutes=0 if shift is None else max(0, shift.regular_minutes - lasts),
            cost=work.cents / 100,
            published=published,
            broken=tuple(broken),
        )

    def _stop(self, work: _Work, group: Sequence[int], *, published: bool) -> Stop:
        walk, parts = work.walk, [work.parts[at] for at in group]
        first, last = group[0], group[-1]
        way_minutes, way_metres = work.ways[first]
        left = walk.ends[first - 1] if first else walk.leave
        fans = [fan for part in parts for fan in part.fans]
        due = [fan for fan in fans if is_due(self.problem, fan)]
        driver = min(due or fans, key=self._urgency)
        pinned = any(part.pinned for part in parts)
        late = (Broken.HOURS,) if walk.late.intersection(group) else ()
        saved = work.cents - work.without(work.coming(first)).cents
        return Stop(
            site=parts[0].site.key,
            fans=tuple(fan.key for fan in due),
            pulled_forward=tuple(fan.key for fan in fans if fan not in due),
            arrive=left + way_minutes,
            start=walk.begins[first] - work.access(first),
            leave=walk.ends[last],
            travel_minutes=way_minutes,
            travel_m=way_metres,
            why=self._why(driver, pinned=pinned, published=published),
            driver=driver.key,
            prize=sum(fan.prize for fan in due),
            detour_cost=saved / 100,
            pinned=pinned,
            broken=tuple(dict.fromkeys((*(each for part in parts for each in part.broken), *late))),
        )

    def _urgency(self, fan: DueFan) -> tuple[bool, int, float, int]:
        calm = not is_last_chance(self.problem, fan)
        return calm, fan.overdue_after_day, -fan.prize, fan.key

    def _why(self, driver: DueFan, *, pinned: bool, published: bool) -> Why:
        if published:
            return Why.PUBLISHED
        if pinned:
            return Why.PINNED
        if driver.overdue_after_day < self.problem.days[0]:
            return Why.OVERDUE
        if is_last_chance(self.problem, driver):
            return Why.LAST_CHANCE
        return Why.WORTH_IT


def _groups(work: _Work) -> list[list[int]]:
    """Parts by stop: those done one after the other in the same hours are one."""
    walk = work.walk
    groups: list[list[int]] = []
    for at, part in enumerate(work.parts):
        alike = work.stays(at) and work.parts[at - 1].spans == part.spans
        if alike and walk.begins[at] == walk.ends[at - 1]:
            groups[-1].append(at)
        else:
            groups.append([at])
    return groups


def _first_fit(ready: int, part: Part) -> tuple[int, int | None]:
    """When work begins, and the latest it may in that span; None: in no span."""
    for opens, closes in part.spans:
        begin = max(ready, opens + part.site.access_minutes)
        if begin + part.minutes <= closes:
            return begin, closes - part.minutes
    return ready, None
