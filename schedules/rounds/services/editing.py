"""A draft changed by hand: a change says what it costs and breaks, and is refused if impossible.

All take the revision that whoever changes it looked at; who comes second is told who did what.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from config.collisions import in_one_transaction
from fleet.models import Person
from schedules.models import PlanChange, PlanVersion
from schedules.rounds.breaking import Price, price_of
from schedules.rounds.drafts import (
    PUT_BACK,
    TAKE_OUT,
    UNDO,
    draft_of,
    held_plan,
    last_to_undo,
    note_change,
    put_back,
    put_back_by,
    refuse_stale,
    require_planner,
)
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.gathering import Gathered, clock_of, gather
from schedules.rounds.layout import LaidRound, LaidStop, Layout, Workday, from_json
from schedules.rounds.left import remains_of, taken_out_of, undone
from schedules.rounds.storing import layout_of
from schedules.rounds.timed import best_place, price
from schedules.rounds.writing import write_draft
from schedules.wording.bookings import technician_name
from schedules.wording.days import day_text

Args = Mapping[str, Any]
Change = Callable[[Gathered, Layout], tuple[Layout, str, Args]]
"""From how the draft stands to how it shall stand, with the kind of change and its words."""


@dataclass(frozen=True)
class Who:
    """Whose change it is, of which week, at which revision of its draft, when."""

    monday: date
    seen: int
    by: Person
    now: datetime


@dataclass(frozen=True)
class Changed:
    """The draft after a change, under its new revision, and what the change costs and breaks."""

    draft: PlanVersion
    revision: int
    price: Price


def move_stop(
    who: Who, *, stop: UUID, technician: int, day: date, position: int | None = None
) -> Changed:
    """Move a stop to a technician's day, before the stop at ``position`` of those there.

    Without one it goes where it breaks and costs least.  Raises WeekPlanError for a stop that is
    gone, a day past or of another week, somebody who cannot be sent.
    """
    to = (technician, day)

    def change(gathered: Gathered, layout: Layout) -> tuple[Layout, str, Args]:
        laid, moved = _found(gathered, layout, stop)
        _refuse_workday(gathered, to)
        kind = "order" if laid.workday == to else "move"
        if kind == "move":
            # its hours were those of another day or person
            moved = replace(moved, keeps_hours=False)
        after = _put(gathered, layout.without(stop), moved, to, position)
        return after, kind, _args(gathered, moved, to)

    return _changed(who, change)


def swap_stops(who: Who, *, stop: UUID, other: UUID) -> Changed:
    """Let two stops take each other's place; raises as ``move_stop``, and for one stop alone."""
    if stop == other:
        raise WeekPlanError("a stop cannot be swapped with itself; choose another one")

    def change(gathered: Gathered, layout: Layout) -> tuple[Layout, str, Args]:
        first, one = _found(gathered, layout, stop)
        second, two = _found(gathered, layout, other)
        for round_ in (first, second):
            _refuse_workday(gathered, round_.workday)
        if first.workday != second.workday:
            one, two = replace(one, keeps_hours=False), replace(two, keeps_hours=False)
        new = {stop: two, other: one}
        changes = {
            each.workday: [new.get(laid.key, laid) for laid in each.stops]
            for each in (first, second)
        }
        args = {"other": gathered.sites[two.site].name}
        return layout.with_stops(changes), "swap", _args(gathered, one, second.workday) | args

    return _changed(who, change)


def pin_stop(who: Who, *, stop: UUID, pinned: bool = True) -> Changed:
    """Have planning leave a stop with its technician and day, or no longer; raises as above."""

    def change(gathered: Gathered, layout: Layout) -> tuple[Layout, str, Args]:
        laid, found = _found(gathered, layout, stop)
        after = layout.with_stop(replace(found, pinned=pinned))
        return after, "pin" if pinned else "unpin", _args(gathered, found, laid.workday)

    return _changed(who, change)


def take_out_stop(who: Who, *, stop: UUID) -> Changed:
    """Leave a stop out of the week; what was booked for it is withdrawn when published."""

    def change(gathered: Gathered, layout: Layout) -> tuple[Layout, str, Args]:
        laid, found = _found(gathered, layout, stop)
        return layout.without(stop), TAKE_OUT, _args(gathered, found, laid.workday)

    return _changed(who, change)


def put_in_site(
    who: Who, *, site: int, technician: int, day: date, position: int | None = None
) -> Changed:
    """Send a technician to a site for all its due work that is left out, whatever the reason.

    Raises as ``move_stop``, and for a site of which nothing is left out or that has no coordinates.
    """
    to = (technician, day)

    def change(gathered: Gathered, layout: Layout) -> tuple[Layout, str, Args]:
        _refuse_workday(gathered, to)
        works = tuple(work.wanted for work in undone(gathered, layout) if work.site == site)
        if not works:
            raise WeekPlanError("nothing due at this site is left out; look at the week again")
        if gathered.sites[site] in gathered.unplaced:
            raise WeekPlanError(
                f"{gathered.sites[site].name} has no coordinates, so nobody can be routed there; "
                "enter them in the admin, Sites"
            )
        stop = LaidStop(uuid4(), site, works)
        return _put(gathered, layout, stop, to, position), "put_in", _args(gathered, stop, to)

    return _changed(who, change)


def undo(who: Who) -> Changed:
    """Take the last change back that was not taken back yet; asked again, the one before it.

    Raises WeekPlanError where nothing is left, or what was published stands before it.
    """
    return _changed(who, None)


@in_one_transaction
def _changed(who: Who, change: Change | None) -> Changed:
    """Make a change, or with None undo one."""
    require_planner(who.by)
    plan = held_plan(who.monday)
    refuse_stale(plan, who.seen)
    last = last_to_undo(plan) if change is None else None
    draft = draft_of(plan)
    layout, taken_out = layout_of(draft), taken_out_of(draft)
    back = from_json(last.before) if last else layout
    gathered = gather(clock_of(who.monday, who.now), layout, back)
    if not gathered.clock.days:
        raise WeekPlanError(f"{plan} is past; nothing in it can be changed")
    after, kind, args = change(gathered, layout) if change else (back, UNDO, _undone_args(last))
    if kind == TAKE_OUT:
        gone = layout.wanted - after.wanted
        taken_out = {**taken_out, **dict.fromkeys(gone, technician_name(who.by))}
    if last:
        taken_out = {**put_back_by(last), **taken_out}
        last.undone = True
        last.save(update_fields=["undone"])
    was = price(gathered, layout), undone(gathered, layout)
    becomes = price(gathered, after), undone(gathered, after)
    write_draft(draft, gathered, becomes[0], remains_of(gathered, after, taken_out))
    args = {**args, **put_back(taken_out, after)}
    note_change(plan, kind=kind, args=args, before=layout, by=who.by, now=who.now)
    return Changed(draft, plan.revision, price_of(gathered, was, becomes))


def _undone_args(last: PlanChange | None) -> dict[str, Any]:
    """The words of what is undone."""
    if last is None:
        return {}
    return {key: told for key, told in last.args.items() if key != PUT_BACK} | {"undid": last.kind}


def _found(gathered: Gathered, layout: Layout, key: UUID) -> tuple[LaidRound, LaidStop]:
    found = layout.find(key)
    if found is None:
        raise WeekPlanError("this stop is not planned any more; look at the week again")
    if found[0].day not in gathered.clock.days:
        raise WeekPlanError(
            f"{day_text(found[0].day)} is past; what was done that day is told by its visits"
        )
    return found


def _refuse_workday(gathered: Gathered, to: Workday) -> None:
    person, day = gathered.people.get(to[0]), to[1]
    if day not in gathered.clock.week:
        raise WeekPlanError(f"{day_text(day)} is in another week; choose a day of this one")
    if day not in gathered.clock.days:
        raise WeekPlanError(f"{day_text(day)} is past; choose {day_text(gathered.clock.today)} "
                            "or later")  # fmt: skip
    if person is None or person in gathered.others:
        name = technician_name(person) if person else "whoever that is"
        raise WeekPlanError(
            f"{name} cannot be sent: no technician with a home base and working hours; enter them "
            "in the admin, People, or choose another"
        )


def _put(
    gathered: Gathered, layout: Layout, stop: LaidStop, to: Workday, position: int | None
) -> Layout:
    if position is None:
        return best_place(gathered, layout, stop, to)[0]
    return layout.put(stop, to, max(0, position))


def _args(gathered: Gathered, stop: LaidStop, workday: Workday) -> dict[str, Any]:
    return {
        "site": gathered.sites[stop.site].name,
        "technician": technician_name(gathered.people[workday[0]]),
        "day": workday[1].isoformat(),
    }
