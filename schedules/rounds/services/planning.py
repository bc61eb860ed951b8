"""Plan a week: fresh, or from its draft as it stands; published rounds and pinned stops stay.

The solver is looked up once something is planned: processes that answer pages may import this.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from uuid import UUID

from config.collisions import in_one_transaction
from fleet.models import Person, Site
from schedules import engine
from schedules.engine.rounds import Plan
from schedules.models import Booking, PlanVersion, WeekPlan
from schedules.rounds.drafts import (
    draft_of,
    held_plan,
    note_change,
    put_back,
    refuse_stale,
    require_planner,
    standing_version,
)
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.gathering import Gathered, clock_of, gather
from schedules.rounds.layout import Layout
from schedules.rounds.left import TakenOut, remains_of, taken_out_of
from schedules.rounds.reconciling import Reconciled, reconcile
from schedules.rounds.storing import layout_of
from schedules.rounds.timed import planned
from schedules.rounds.writing import write_draft
from schedules.weeks import iso_week

ITERATIONS = 400
"""Where neither iterations nor seconds are named; our choice."""
SEED = 1
SECONDS = 5.0
"""How long planning lasts that somebody waits for; our choice."""
WARM_SECONDS = 0.5
"""The same from a draft that stands: enough to take in a change or two."""


@dataclass(frozen=True)
class Search:
    """How the planner searches.

    ``fresh`` lets go of what is neither pinned nor published, and puts back what was taken out;
    ``refill`` lets stops be added to published rounds, whose own keep technician and day.
    ``iterations`` give the same plan for the same week each time, ``seconds`` bound the search.
    """

    fresh: bool = False
    refill: bool = False
    iterations: int | None = None
    seconds: float | None = None
    seed: int = SEED


@dataclass(frozen=True)
class WeekPlanned:
    """The draft as it stands now, and who or what stands beside it.

    ``beside`` are bookings in no round: their technician or site cannot be routed.
    """

    draft: PlanVersion
    revision: int
    beside: tuple[Booking, ...]
    without_week: tuple[Person, ...]
    unplaced: tuple[Site, ...]


def plan_week(
    *, monday: date, by: Person | None, now: datetime, search: Search | None = None
) -> WeekPlanned:
    """Plan the days still ahead of a week and keep that as its draft.

    The search holds nobody up; StaleDraftError where somebody changed the draft meanwhile.  Raises
    WeekPlanError for a week nobody can plan, PermissionDenied for who does not plan.
    """
    require_planner(by)
    search = search or Search()
    clock = clock_of(monday, now)
    if not clock.days:
        raise WeekPlanError(f"{iso_week(monday)} is past; plan this week or a later one")
    before = _standing(monday)
    gathered = gather(clock, before.layout)
    refuse_without_crew(gathered)
    if search.refill:
        told = (stop.key for each, stop in before.layout.stops if each.published)
        gathered = replace(gathered, held=frozenset(told))
    reconciled = reconcile(gathered, before.known, fresh=search.fresh)
    not_wanted = frozenset() if search.fresh else frozenset(before.taken_out)
    gathered = replace(gathered, layout=reconciled.layout, not_wanted=not_wanted)
    plan = _searched(gathered, search)
    return _kept(before, gathered, reconciled, plan, by, now)


def refuse_without_crew(gathered: Gathered) -> None:
    """WeekPlanError where nobody can be sent, with the place to change that."""
    if any(gathered.may_go((person, day)) for person in gathered.people
           for day in gathered.clock.days):  # fmt: skip
        return
    where = "in the admin, People, on the technician's page"
    if not gathered.crew.people:
        names = ", ".join(person.called
                          for person in gathered.crew.without_week[:3])  # fmt: skip
        who = f"of the technicians ({names}) none has" if names else "there is no technician with"
        raise WeekPlanError(f"{who} a home base and working hours; enter them {where}")
    raise WeekPlanError(
        f"nobody works on the days left of {iso_week(gathered.clock.monday)}; "
        f"look at working hours and days off, {where}"
    )


@dataclass(frozen=True)
class _Standing:
    """The draft, or the published version that one would begin as."""

    revision: int = 0
    layout: Layout = field(default_factory=lambda: Layout({}))
    known: frozenset[UUID] = frozenset()
    taken_out: TakenOut = field(default_factory=dict)


def _standing(monday: date) -> _Standing:
    plan = WeekPlan.objects.filter(monday=monday).first()
    if plan is None:
        return _Standing()
    version = standing_version(plan)
    if version is None:
        return _Standing(plan.revision)
    return _Standing(plan.revision, layout_of(version), version.known, taken_out_of(version))


def _searched(gathered: Gathered, search: Search) -> Plan:
    iterations, seconds = search.iterations, search.seconds
    if iterations is None and seconds is None:
        iterations = ITERATIONS
    current = gathered.current(gathered.layout, gathered.clock.days)
    problem = gathered.problem(current, iterations=iterations, seconds=seconds, seed=search.seed)
    return engine.plan_rounds(problem)


@in_one_transaction
def _kept(
    before: _Standing,
    gathered: Gathered,
    reconciled: Reconciled,
    plan: Plan,
    by: Person | None,
    now: datetime,
) -> WeekPlanned:
    held = held_plan(gathered.clock.monday)
    refuse_stale(held, before.revision)
    draft = draft_of(held)
    rounds = planned(gathered, plan)
    layout = Layout.of(each.laid for each in rounds)
    stays_out = {each: by for each, by in before.taken_out.items() if each in gathered.not_wanted}
    booked = {str(pk) for pk in gathered.bookings} - {str(each.pk) for each in reconciled.beside}
    draft.known_bookings = sorted(booked)
    write_draft(draft, gathered, rounds, remains_of(gathered, layout, stays_out))
    args = put_back(before.taken_out, layout)
    note_change(held, kind="plan", args=args, before=before.layout, by=by, now=now)
    return WeekPlanned(
        draft, held.revision, reconciled.beside, tuple(gathered.crew.without_week),
        tuple(gathered.unplaced),
    )  # fmt: skip
