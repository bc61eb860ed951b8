"""Due fans put together into what one coming does, and the hours in which it may be done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from schedules.engine.rounds.hours import Spans, common_hours, hours_of
from schedules.engine.rounds.problem import Blocker, DueFan, Problem, Site

Workplace = tuple[int, int]
"""Key of a technician, and a day."""


@dataclass(frozen=True, slots=True)
class Task:
    """Fans of one site that need the same skills: done together or not at all.

    ``stopped`` where one of them must stand, and that has hours of its own: then all keep to them.

    ``soon_week`` is 0 for fans that are due, else counts the weeks after this plan.
    """

    site: Site
    fans: tuple[DueFan, ...]
    skills: frozenset[str]
    stopped: bool
    first_day: int
    soon_week: int = 0
    pinned_to: Workplace | None = None

    @property
    def minutes(self) -> int:
        """Work on all its fans [min]."""
        return sum(fan.minutes for fan in self.fans)

    @property
    def prize(self) -> float:
        """What doing it is worth, all its fans together."""
        return sum(fan.prize for fan in self.fans)

    @property
    def latest_day(self) -> int:
        """The last day on which none of its fans is overdue."""
        return min(fan.overdue_after_day for fan in self.fans)

    def hours(self, problem: Problem, day: int) -> Spans:
        """When it may be worked at on a day."""
        return (
            hours_at(problem, self.site, day, stopped=self.stopped) if day >= self.first_day else ()
        )


Room = Callable[[Task], int]


def due_tasks(problem: Problem, room: Room) -> list[Task]:
    """What falls due before the next plan and is blocked no longer than until its last day.

    A task longer than ``room`` says is split; one fan is never.
    """
    taken = fans_bound(problem)
    fans = [
        fan
        for fan in problem.fans
        if fan.key not in taken and is_due(problem, fan) and may_come(problem, fan)
    ]
    return [part for task in _together(problem, fans) for part in _split(task, room(task))]


def soon_tasks(problem: Problem) -> list[Task]:
    """What falls due in the weeks after this plan from which it may be pulled forward."""
    taken = fans_bound(problem)
    until = problem.first_day_after + problem.params.soon_days
    fans = [
        fan
        for fan in problem.fans
        if fan.key not in taken
        and not is_due(problem, fan)
        and fan.due_day < until
        and may_come(problem, fan)
    ]
    return _together(problem, fans)


def pinned_tasks(problem: Problem) -> list[Task]:
    """Stops that a person has tied to a technician and a day, due or not."""
    fans = {fan.key: fan for fan in problem.fans}
    found: list[Task] = []
    for current in problem.current:
        if not current.published:
            workplace = (current.technician, current.day)
            for stop in current.stops:
                if stop.pinned:
                    these = [fans[key] for key in stop.fans if may_come(problem, fans[key])]
                    found += (
                        replace(task, pinned_to=workplace, soon_week=0)
                        for task in _together(problem, these)
                    )
    return found


def is_due(problem: Problem, fan: DueFan) -> bool:
    """Whether it falls due before the next plan, or this week is its last chance."""
    return fan.due_day < problem.first_day_after or is_last_chance(problem, fan)


def is_last_chance(problem: Problem, fan: DueFan) -> bool:
    """Whether it would be overdue before anybody could come again."""
    next_chance = problem.first_day_after if fan.next_chance_day is None else fan.next_chance_day
    return fan.overdue_after_day < next_chance


def is_required(problem: Problem, task: Task) -> bool:
    """Whether a fan of it would be overdue before the next plan, or a person wants it."""
    return task.pinned_to is not None or any(is_last_chance(problem, fan) for fan in task.fans)


def may_come(problem: Problem, fan: DueFan) -> bool:
    """Whether there is a day in the week on which nothing holds it back."""
    day = first_day_of(problem, fan)
    return day is not None and day <= problem.days[-1]


def first_day_of(problem: Problem, fan: DueFan) -> int | None:
    """The first day on which neither a blocker nor its own date holds it back; None: never."""
    days = [fan.not_before_day, problem.days[0]]
    for blocker in blockers_of(problem, fan):
        if blocker.until_day is None:
            return None
        days.append(blocker.until_day)
    return max(days)


def held_on(problem: Problem, fan: DueFan, day: int) -> tuple[str, ...]:
    """Kinds of blockers that stand in the way on a day."""
    return tuple(
        dict.fromkeys(
            blocker.kind
            for blocker in blockers_of(problem, fan)
            if blocker.until_day is None or blocker.until_day > day
        )
    )


def hours_at(problem: Problem, site: Site, day: int, *, stopped: bool) -> Spans:
    """When somebody may be at a site, to stop a fan or not, while anybody works."""
    until = problem.night_of(day)
    spans = hours_of(site.access_hours, day, site.closed_days, until)
    if stopped and site.stop_hours is not None:
        spans = common_hours(spans, hours_of(site.stop_hours, day, until=until))
    return spans


def fans_bound(problem: Problem) -> set[int]:
    """Fans whose stop a person has pinned or published."""
    return {
        key
        for current in problem.current
        for stop in current.stops
        if current.published or stop.pinned
        for key in stop.fans
    }


def blockers_of(problem: Problem, fan: DueFan) -> tuple[Blocker, ...]:
    """Those of the fan and of its site."""
    return (*problem.site(fan.site).blockers, *fan.blockers)


def skills_of(problem: Problem, fan: DueFan) -> frozenset[str]:
    """What whoever goes must be allowed to do."""
    return frozenset({fan.skill, problem.site(fan.site).skill} - {""})


def _together(problem: Problem, fans: Iterable[DueFan]) -> list[Task]:
    groups: dict[tuple[int, frozenset[str], int, int], list[DueFan]] = defaultdict(list)
    for fan in fans:
        first = first_day_of(problem, fan) or 0
        week = 0 if is_due(problem, fan) else 1 + (fan.due_day - problem.first_day_after) // 7
        groups[fan.site, skills_of(problem, fan), first, week].append(fan)
    return [
        Task(problem.site(key), tuple(group), skills, _must_stop(problem, group), first, week)
        for (key, skills, first, week), group in groups.items()
    ]


def _must_stop(problem: Problem, fans: list[DueFan]) -> bool:
    """Whether there are hours to keep to, since one of these fans of a site must stand."""
    has_hours = problem.site(fans[0].site).stop_hours is not None
    return has_hours and any(fan.stopped for fan in fans)


def _split(task: Task, room: int) -> list[Task]:
    """Parts that take ``room`` minutes at most, the most urgent fans in the first."""
    if task.minutes <= room:
        return [task]
    parts: list[list[DueFan]] = [[]]

    def urgency(fan: DueFan) -> tuple[bool, int, float]:
        return task.stopped and not fan.stopped, fan.overdue_after_day, -fan.prize

    for fan in sorted(task.fans, key=urgency):
        if parts[-1] and sum(each.minutes for each in parts[-1]) + fan.minutes > room:
            parts.append([])
        parts[-1].append(fan)
    return [_part(task, part) for part in parts]


def _part(task: Task, fans: list[DueFan]) -> Task:
    """Some fans of a task; where none must stand they are not bound to hours for that."""
    needed = any(fan.stopped for fan in fans)
    return replace(task, fans=tuple(fans), stopped=task.stopped and needed)
