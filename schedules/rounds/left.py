"""What of the due work is in no round, and why: as is found by trying, or as somebody wants it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

from schedules.engine import rounds as engine
from schedules.models import PlanVersion
from schedules.rounds.gathering import Gathered
from schedules.rounds.layout import Layout
from schedules.rounds.storing import Left
from schedules.rounds.work import Wanted, Work
from schedules.wording.bookings import technician_name

NO_PLACE, TAKEN_OUT = "no_place", "taken_out"
TakenOut = Mapping[Wanted, str]
"""Work that somebody took out of the week, with their name; it stays out until it is put in."""


@dataclass(frozen=True)
class Remains:
    """All that is left out, the most urgent first, and what of it is too much; empty for none."""

    left: Sequence[Left]
    overload: Mapping[str, Any]


def undone(gathered: Gathered, layout: Layout) -> list[Work]:
    """Due work that is in no round of the layout, the most urgent first."""
    wanted, next_day = layout.wanted, gathered.clock.next_monday.toordinal()
    works = (
        work
        for work in gathered.due.works.values()
        if work.due_day < next_day and work.wanted not in wanted
    )
    return sorted(works, key=lambda work: (work.overdue_after_day, work.site, work.wanted))


def is_required(gathered: Gathered, work: Work) -> bool:
    """Whether it would be overdue before the next week is planned."""
    return work.overdue_after_day < gathered.clock.next_monday.toordinal()


def remains_of(gathered: Gathered, layout: Layout, taken_out: TakenOut) -> Remains:
    """What the layout leaves out and why: true of it, whatever was planned before."""
    past = {wanted for each, stop in layout.stops if each.day not in gathered.clock.days
            for wanted in stop.works}  # fmt: skip
    asked = replace(gathered, layout=layout, not_wanted=frozenset({*taken_out, *past}))
    current = asked.current(layout, gathered.clock.days)
    found = engine.remainder_of(asked.problem(current, iterations=0))
    reasons = dict(_by_work(gathered, asked, found.left_out))
    unplaced = {site.pk for site in gathered.unplaced}
    left = []
    for work in undone(gathered, layout):
        if work.wanted in taken_out:
            told: tuple[str, Mapping[str, Any]] = TAKEN_OUT, {"by": taken_out[work.wanted]}
        elif work.site in unplaced:
            told = NO_PLACE, {}
        else:
            told = reasons[work.wanted]
        left.append(Left(work, told[0], is_required(gathered, work), told[1]))
    return Remains(left, asdict(found.overload) if found.overload else {})


def _by_work(
    gathered: Gathered, asked: Gathered, left_out: Iterable[engine.LeftOut]
) -> Iterable[tuple[Wanted, tuple[str, Mapping[str, Any]]]]:
    for each in left_out:
        args = {
            "names": list(each.names) or None, "cost": each.cost,
            "needed_minutes": each.needed_minutes, "free_minutes": each.free_minutes,
            "technician": each.technician
            and technician_name(gathered.people[each.technician]),
            "day": each.day and date.fromordinal(each.day).isoformat(),
        }  # fmt: skip
        known = {name: value for name, value in args.items() if value is not None}
        for key in each.fans:
            name = asked.names[key]
            if not isinstance(name, UUID):
                yield name, (str(each.reason), known)


def taken_out_of(version: PlanVersion) -> TakenOut:
    """What was taken out of a version by hand, and by whom."""
    rows = version.left_out.filter(reason=TAKEN_OUT).values_list("fan", "skill", "args")
    return {(fan, skill): args.get("by", "") for fan, skill, args in rows}
