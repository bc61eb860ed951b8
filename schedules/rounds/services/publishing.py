"""Publish a week's draft: a version that stays, and bookings made, moved and withdrawn by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from config.collisions import in_one_transaction
from fleet.models import Site
from fleet.services.errors import RegisterError
from schedules.bookings.services import Move, Terms, rebook
from schedules.engine.rounds.hours import DAY_MINUTES
from schedules.models import Booking, PlannedRound, PlannedStop, PlanVersion, WeekPlan
from schedules.rounds.clocks import WeekClock
from schedules.rounds.comparing import Difference, Pair, differences
from schedules.rounds.drafts import (
    PUBLISH,
    draft_of,
    held_plan,
    latest_published,
    note_change,
    refuse_stale,
    require_planner,
)
from schedules.rounds.errors import WeekPlanError
from schedules.rounds.gathering import clock_of
from schedules.rounds.reading import read_bookings
from schedules.rounds.services.editing import Who
from schedules.rounds.storing import copy_version, layout_of, rounds_of
from schedules.wording.bookings import booked_text, technician_name
from schedules.wording.rounds import planned_note


@dataclass(frozen=True)
class Published:
    """The version technicians go by from now on; ``differences`` are from the one before it.

    ``beside`` are standing bookings of the week that the plan does not know: it left them alone.
    """

    version: PlanVersion
    revision: int
    differences: Sequence[Difference]
    made: int
    moved: int
    withdrawn: int
    beside: Sequence[Booking]


@in_one_transaction
def publish_week(who: Who) -> Published:
    """Keep the draft as the next version and have bookings follow it, from today on.

    Technicians' letters and calendars follow the bookings.  Raises StaleDraftError, WeekPlanError
    for a week without draft or past, RegisterError where a booking was changed beside the plan or
    clashes with one.  Then nothing is published.
    """
    require_planner(who.by)
    plan, clock = held_plan(who.monday), clock_of(who.monday, who.now)
    refuse_stale(plan, who.seen)
    if plan.revision == 0:
        raise WeekPlanError(f"nothing is planned for {plan}; plan it first")
    if not clock.days:
        raise WeekPlanError(f"{plan} is past; nothing of it can be published")
    draft, before = draft_of(plan), latest_published(plan)
    layout, standing = layout_of(draft), read_bookings(clock)
    pairs = [(each, stop) for each in rounds_of(draft) for stop in each.stops.all()]
    ahead = [pair for pair in pairs if pair[0].day in clock.days]
    _refuse_changed_beside([stop for _, stop in ahead])
    gone = _gone([stop for _, stop in pairs], draft.known, standing, clock)
    made, moved = _booked(ahead, gone, clock, who)
    draft.known_bookings = sorted({str(stop.booking_id) for _, stop in pairs if stop.booking_id})
    draft.save(update_fields=["known_bookings"])
    version = _next_version(plan, draft, before, who)
    note_change(plan, kind=PUBLISH, args={"number": version.number}, before=layout, by=who.by,
                now=who.now)  # fmt: skip
    told = differences(rounds_of(before) if before else (), rounds_of(version))
    return Published(
        version, plan.revision, told, made, moved, len(gone),
        [each for each in standing if not _is_known(each, draft, gone)],
    )  # fmt: skip


def _is_known(booking: Booking, draft: PlanVersion, gone: Sequence[Booking]) -> bool:
    return booking in gone or booking.pk in draft.known


def _refuse_changed_beside(stops: Sequence[PlannedStop]) -> None:
    """RegisterError for bookings that are not as the draft has them, and what to do about it."""
    told = []
    for stop in stops:
        booking, name = stop.booking, stop.site.name
        if booking is None:
            continue
        if booking.withdrawn_at:
            told.append(f"{name}: its booking was withdrawn ({booking.withdrawn_reason})")
        elif booking.sequence != stop.booking_seen:
            who = technician_name(booking.changed_by)
            told.append(f"{name}: {who} changed this booking meanwhile: {booked_text(booking)}")
    if told:
        raise RegisterError(
            f"{'; '.join(told)}. Have the week planned again, which follows bookings, or take the "
            "stop out; then publish"
        )


def _gone(
    stops: Sequence[PlannedStop],
    known: frozenset[UUID],
    standing: Sequence[Booking],
    clock: WeekClock,
) -> list[Booking]:
    """Bookings that were laid into the draft and are in no stop of it any more."""
    kept = {stop.booking_id for stop in stops}
    return [
        each
        for each in standing
        if each.pk in known and each.pk not in kept and each.day in clock.days
    ]


def _booked(
    ahead: Sequence[Pair], gone: Sequence[Booking], clock: WeekClock, who: Who
) -> tuple[int, int]:
    """Bring bookings to the stops; how many were made and how many moved."""
    booked = [pair for pair in ahead if pair[1].booking_id and not _stays(*pair)]
    fresh = [pair for pair in ahead if not pair[1].booking_id]
    moves = [
        Move(stop.booking_id, stop.booking_seen, _terms(each, stop, clock))
        for each, stop in booked
        if stop.booking_id
    ]
    drops = [Move(each.pk, each.sequence, None, "no longer in the week's plan") for each in gone]
    new = [(stop.site, _terms(each, stop, clock)) for each, stop in fresh]
    moved, made = rebook(moves=[*drops, *moves], new=new, by=who.by, now=who.now)
    changed = 0
    for (_, stop), booking in zip([*booked, *fresh], [*moved[len(drops) :], *made], strict=True):
        before = (stop.booking_id, stop.booking_seen)
        changed += stop.booking_id is not None and before != (booking.pk, booking.sequence)
        stop.booking, stop.booking_seen = booking, booking.sequence
    stops = [stop for _, stop in (*booked, *fresh)]
    PlannedStop.objects.bulk_update(stops, ["booking", "booking_seen"])
    PlannedRound.objects.filter(pk__in={each.pk for each, _ in ahead}).update(published=True)
    return len(made), changed


def _stays(each: PlannedRound, stop: PlannedStop) -> bool:
    """Whether hours given by hand stand on the day and for the person they were given."""
    booking = stop.booking
    return (
        stop.keeps_hours
        and booking is not None
        and (booking.technician_id, booking.day) == (each.technician_id, each.day)
    )


def _terms(each: PlannedRound, stop: PlannedStop, clock: WeekClock) -> Terms:
    """Day and minutes by the site's own clock."""
    site: Site = stop.site
    ahead = clock.ahead_minutes(site.zone, each.day)
    over, begin = divmod(stop.start_minute + ahead, DAY_MINUTES)
    until = (stop.leave_minute + ahead) % DAY_MINUTES
    by_hand = stop.booking is not None and stop.pinned and bool(stop.booking.note)
    note = stop.booking.note if by_hand and stop.booking else planned_note(stop)
    return Terms(each.technician, each.day + timedelta(days=over), begin, until, note)


def _next_version(
    plan: WeekPlan, draft: PlanVersion, before: PlanVersion | None, who: Who
) -> PlanVersion:
    version = PlanVersion.objects.create(
        plan=plan,
        number=before.number + 1 if before else 1,
        figures=draft.figures,
        overload=draft.overload,
        known_bookings=draft.known_bookings,
        published_at=who.now,
        published_by=who.by,
    )
    copy_version(draft, version)
    return version
